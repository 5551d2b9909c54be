"""Rules in words: orders and prohibitions as published, or marked as common practice."""

from __future__ import annotations

import pytest

from trainer.trade.work_rules import COMMON_PRACTICE, WORK_RULES, RuleNotListed, work_rule


def test_lock_out_order() -> None:
    # 29 CFR 1910.147(d): headings from memory, texts of (d)(1)-(5) read.
    assert work_rule("lock-out-order").items == (
        "preparation for shutdown",
        "machine or equipment shutdown",
        "machine or equipment isolation",
        "lockout or tagout device application",
        "stored energy",
        "verification of isolation",
    )


def test_release_order() -> None:
    # id "loto-release-order"; source: 29 CFR 1910.147(e)(1)-(3); (e)(2)(ii): notification comes after removal.
    assert work_rule("release-order").items == (
        "machine or equipment: inspect the work area, items removed, components intact",
        "employees: checked safely positioned or removed; notified after devices are removed and before start",
        "device removal: by the employee who applied it",
    )


@pytest.mark.parametrize(
    ("rule", "words", "source"),
    [
        pytest.param(
            *("stored-energy", "make safe all stored or residual energy; keep verifying if it can build up"),
            *("29 CFR 1910.147(d)(5)(i)-(ii)",),
            id="loto-stored-energy",
        ),
        pytest.param(
            *("overhaul-trigger", "does not respond properly to performance tests", "16 NYCRR 255.739(c)"),
            id="overhaul-trigger-ny",
        ),
        pytest.param(
            *(
                "purge-slug",
                "release a slug of inert gas into the line before the gas",
                "49 CFR 192.629(a)-(b)",
            ),
            id="purge-192629",
        ),
        pytest.param("crushed-gasket", "never reused", COMMON_PRACTICE, id="practice-crushed-gasket"),
        pytest.param(
            *("wedge-backup-ring", "sloping face", COMMON_PRACTICE),
            id="practice-wedge-backup",
        ),
        pytest.param("cotter-pin", "90° or more", COMMON_PRACTICE, id="practice-cotter-bend"),
        pytest.param(
            *("prove-zero-before-opening", "Isolate, vent, prove zero, then open", "29 CFR 1910.147(d)"),
            id="practice-lockout-before-open",
        ),
        ("passes-plastic-flange", "not over 20 % of the target", "PPI TN-38 (2011)"),
        ("overpressure-smys-unknown", "prevents unsafe operation", "16 NYCRR 255.739(b)"),
        ("torque-wrench-after-drop", "at once after abuse or a drop", "FAA AC 43.13-1B para 7-40"),
    ],
)
def test_rules_in_one_sentence(rule: str, words: str, source: str) -> None:
    found = work_rule(rule)
    assert words in found.sentence
    assert source in found.source


def test_what_a_station_inspection_must_show() -> None:
    # id "checks-192739a"; source: 49 CFR 192.739(a)(1)-(4), read as 16 NYCRR 255.739(a), Haw. Code R. 6-77-192 and
    # the parallel 49 CFR 192.740(b).
    assert work_rule("station-inspection").items == (
        "good mechanical condition",
        "adequate capacity and reliability for the service",
        "set to control or relieve at the correct pressure",
        "properly installed and protected from dirt, liquids or other conditions that might prevent proper operation",
    )


def test_passes_of_the_printed_list() -> None:
    # ASME PCC-1 Legacy (2019 Table 1, 2022), as told in a public research note (secondary).
    passes = work_rule("passes-legacy").items
    assert [item.split(" % ")[0] for item in passes[1:4]] == ["20-30", "50-70", "100"]
    assert passes[0] == "snug at 10-20 ft-lb, not over 20 % of the target"
    assert passes[4:] == ("round and round at 100 % until no nut turns", "retighten after at least 4 h")


def test_order_before_opening() -> None:
    assert work_rule("prove-zero-before-opening").items == ("isolate", "vent", "prove zero", "open")


def test_every_rule_is_a_sentence_with_a_source() -> None:
    for rule in WORK_RULES.values():
        assert rule.sentence.endswith(".")
        assert rule.source


def test_unknown_rule() -> None:
    with pytest.raises(RuleNotListed, match="'luck' is not a rule in the list"):
        work_rule("luck")
