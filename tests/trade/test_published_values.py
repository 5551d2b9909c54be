"""Every published value collected for the trade stands in one of these tests, under its name.

The names are kept here so that a value cannot quietly drop out when a test is rewritten.
"""

from __future__ import annotations

from pathlib import Path

NAMES = """
conv-lbfft-nm conv-kgfm-nm conv-lbf-n conv-lb-kg conv-psi-pa conv-bar-pa conv-atm-pa conv-inh2o-60f
conv-inh2o-39f conv-mmh2o-conv conv-cfr-60psi-kpa conv-cfr-6psi-kpa conv-35lbft-47nm
conv-45lbft-61nm conv-23lbft-31nm conv-27lbft-37nm conv-225lbft-305nm conv-43lbin-nm conv-51lbin-nm
as-m5x0.8 as-m8x1.25 as-m12x1.75 as-m16x2 as-m20x2.5 as-m24x3 as-m27x3 as-m30x3.5 as-m36x4
as-iso898-m6 as-iso898-m8 as-iso898-m10 as-iso898-m12 as-iso898-m24 load-iso898-m10-8.8
load-iso898-m10-10.9 load-iso898-m12-4.6 as-unc-5_8-11 as-unc-1-8 as-unc-1-1_8-8 as-unc-1-1_4-8
as-unc-1-1_2-8 root-unc-1_2-13 root-unc-5_8-11 root-unc-3_4-10 root-unc-7_8-9 as-5_16-18-unc
as-3_8-16-unc as-1_4-28-unf as-3_8-24-unf as-3_4-16-unf as-pcc1-m36x3 shigley-8-3a-service
shigley-8-3-C shigley-t8-14-mean shigley-8-3b-torque kdf-3_8-16-g5-preload pcc1k-1_2-k020
pcc1k-5_8-k016 pcc1k-5_8-k020 pcc1k-3_4-k016 pcc1k-7_8-k016 pcc1k-7_8-k020 pcc1k-1-k016 pcc1k-1-k020
pcc1k-1-1_2-k020 fhwa-025pd-3_4 fhwa-025pd-1 adapter-tm1-1500 adapter-navedtra-14315
adapter-tm9-2350 adapter-t50-16-2 adapter-t20-14-3 adapter-tm9-254-applied adapter-rotor-shorten
adapter-angle60 adapter-angle180 drag-torque-range ac4313-max-ratio castle-slot-angle
castle-one-hole castle-advance-3_8-24 castle-worst-turn-one-hole castle-rule-ac4313
castle-rule-impedance castle-rule-selflock seq-legacy-8 seq-legacy-12 seq-legacy-24 seq-legacy-4
seq-legacy-20 seq-invariant-24 seq-invariant-4 seq-invariant-20 passes-snug-tn38 niosh-hm-in-18
niosh-hm-in-13 niosh-vm-in-20 niosh-vm-in-70 niosh-dm-in-40 niosh-am-30 niosh-am-135 niosh-am-90
niosh-hm-cm-50 niosh-vm-cm-0 niosh-vm-cm-140 niosh-dm-cm-55 niosh-vm-over niosh-dm-under
niosh-hm-23-misprint niosh-special-freq-2 niosh-fm-2.4 niosh-duration-75 niosh-duration-30rest
niosh-ex4-origin niosh-ex4-dest niosh-ex5-origin niosh-ex5-dest niosh-ex5-li-origin
niosh-ex5-li-dest niosh-ex4-li-dest niosh-ex1-origin niosh-ex1-dest niosh-ex2-origin niosh-ex2-dest
niosh-ex3-origin ccohs-vertical-handles niosh-rwl-ideal-lb niosh-rwl-ideal-kg niosh-units-mismatch
sling-capacity-60 sling-capacity-30 sling-vertical-angle-60 gauge-abs pcc2-e-si pcc2-e-us pcc2-k14
pcc2-us-360 pcc2-tnt-constants pcc2-dist-1000 pcc2-dist-2000 pcc2-dist-scaled branan-dilution
branan-pressure-volume branan-vacuum-volume lel-odor-fifth limit-192201-100 limit-192201-59
limit-192201-25 limit-192201-2 limit-192201-smys limit-continuity-60 limit-continuity-12
limit-192739b due-15mo-mid due-15mo-jan1 due-15mo-sep30 due-15mo-oct1 due-15mo-leap due-15mo-aug31
due-39mo-a due-5yr calib-torque-wrench regulator-error-mc loto-release-order loto-stored-energy
overhaul-trigger-ny checks-192739a purge-192629 en334-ac5 en334-sg10 en334-temp-class2
practice-class-600 practice-castle-forward practice-cotter-bend practice-crushed-gasket
practice-wedge-backup practice-lockout-before-open
"""


def test_every_published_value_is_held() -> None:
    here = Path(__file__)
    files = (path for path in here.parent.glob("test_*.py") if path != here)
    held = "\n".join(path.read_text(encoding="utf-8") for path in files)
    assert [name for name in NAMES.split() if f'"{name}"' not in held] == []


def test_no_name_is_listed_twice() -> None:
    assert len(NAMES.split()) == len(set(NAMES.split())) == 177
