"""Rules of the trade that are words, not numbers: orders of steps, what is never reused, what a visit must show.

Rule texts are paraphrased; quote the law from the official text. `common practice` has no source.
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.errors import TrainerError

COMMON_PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class WorkRule:
    """A rule in one sentence, its items in order where it has some, and where it is printed."""

    name: str
    sentence: str
    source: str
    items: tuple[str, ...] = ()


class RuleNotListed(TrainerError):
    """No rule of this name."""

    def __init__(self, name: str) -> None:
        super().__init__(f"'{name}' is not a rule in the list; listed are {', '.join(WORK_RULES)}.")


_RULES = (
    WorkRule(
        "lock-out-order",
        "Energy control is applied in this order.",
        "29 CFR 1910.147(d)(1)-(6); headings from memory, texts of (1) to (5) read",
        (
            "preparation for shutdown",
            "machine or equipment shutdown",
            "machine or equipment isolation",
            "lockout or tagout device application",
            "stored energy",
            "verification of isolation",
        ),
    ),
    WorkRule(
        "release-order",
        "Before energy is given back, look after machine, people and devices; people are told after the devices "
        "come off and before the start.",
        "29 CFR 1910.147(e)(1)-(3); (e)(2)(ii) for the notification",
        (
            "machine or equipment: inspect the work area, items removed, components intact",
            "employees: checked safely positioned or removed; notified after devices are removed and before start",
            "device removal: by the employee who applied it",
        ),
    ),
    WorkRule(
        "stored-energy",
        "After the devices are applied, relieve, disconnect, restrain or otherwise make safe all stored or residual "
        "energy; keep verifying if it can build up again.",
        "29 CFR 1910.147(d)(5)(i)-(ii)",
    ),
    WorkRule(
        "prove-zero-before-opening",
        "Isolate, vent, prove zero, then open.",
        "29 CFR 1910.147(d) gives the order; the proof of zero before opening is common practice, no source",
        ("isolate", "vent", "prove zero", "open"),
    ),
    WorkRule(
        "station-inspection",
        "An inspection of a regulator station must show these.",
        "49 CFR 192.739(a)(1)-(4), read as 16 NYCRR 255.739(a), Haw. Code R. 6-77-192 and 49 CFR 192.740(b)",
        (
            "good mechanical condition",
            "adequate capacity and reliability for the service",
            "set to control or relieve at the correct pressure",
            "properly installed and protected from dirt, liquids or other conditions that might prevent proper operation",
        ),
    ),
    WorkRule(
        "overhaul-trigger",
        "A regulator that is not protected from dirt or liquids, or does not respond properly to performance tests, "
        "is inspected inside and overhauled to the extent necessary.",
        "16 NYCRR 255.739(c), New York State rule, not in the federal text",
    ),
    WorkRule(
        "purge-slug",
        "Where the gas flow is too small to prevent a hazardous mixture, release a slug of inert gas into the line "
        "before the gas, or before the air.",
        "49 CFR 192.629(a)-(b)",
    ),
    WorkRule(
        "passes-legacy",
        "Tighten in these passes; another printed list is as good where the procedure says so.",
        "ASME PCC-1 Legacy (2019 Table 1, 2022), as told in a public research note (secondary)",
        (
            "snug at 10-20 ft-lb, not over 20 % of the target",
            "20-30 % of the target",
            "50-70 % of the target",
            "100 % of the target",
            "round and round at 100 % until no nut turns",
            "retighten after at least 4 h",
        ),
    ),
    WorkRule(
        "passes-plastic-flange",
        "Pre-tighten at 10-20 ft-lb, not over 20 % of the target; then rounds 1 to 4 criss-cross, with the gap "
        "checked between.",
        "PPI TN-38 (2011), as quoted in a public installation guide of 2015",
    ),
    WorkRule(
        "overpressure-smys-unknown",
        "Where the share of SMYS is not known, the limit is a pressure that prevents unsafe operation, considering "
        "the history of the line and its MAOP.",
        "49 CFR 192.739(b), read in the same text of 16 NYCRR 255.739(b)",
    ),
    WorkRule("crushed-gasket", "A crushed metal or soft flat gasket is never reused.", COMMON_PRACTICE),
    WorkRule(
        "wedge-backup-ring",
        "The sloping face of a wedge-section backup ring lies against the O-ring.",
        COMMON_PRACTICE,
    ),
    WorkRule("cotter-pin", "The ends of a cotter pin are bent by 90° or more.", COMMON_PRACTICE),
    WorkRule(
        "torque-wrench-after-drop",
        "A torque wrench is calibrated at least once a year, and at once after abuse or a drop.",
        "FAA AC 43.13-1B para 7-40, as quoted",
    ),
)

WORK_RULES: dict[str, WorkRule] = {rule.name: rule for rule in _RULES}
"""Every rule by its name."""


def work_rule(name: str) -> WorkRule:
    """Return a rule.

    Raises:
        RuleNotListed: no rule of this name.
    """
    if name not in WORK_RULES:
        raise RuleNotListed(name)
    return WORK_RULES[name]
