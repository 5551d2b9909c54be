"""Named computations about regulators, limits of pressure, due dates, flammable gas and rules in words."""

from __future__ import annotations

from trainer.errors import TrainerError
from trainer.trade import flammability, intervals, overpressure, regulating
from trainer.trade.reckoning import Given, Input, Kind, Reckoning, Result
from trainer.trade.units import Dimension
from trainer.trade.work_rules import WORK_RULES, work_rule

_SET_POINT = Input("set_point", Dimension.GAUGE, "outlet pressure the regulator is set to")
_MAOP = Input("maop", Dimension.GAUGE, "maximum allowable operating pressure")
_LOWER = Input(
    "lower", Dimension.RATIO, "lower explosive limit; 5 % or 4.4 % for methane, by standard", "5 %"
)
_UPPER = Input("upper", Dimension.RATIO, "upper explosive limit", "15 %")
_RULE = Input("rule", Kind.WORD, "interval", "regulator-station", words=tuple(intervals.INTERVALS))
_EN_334 = "EN 334, class list from memory"
_PRACTICE = "common practice, no source"


class ListsDiffer(TrainerError):
    """Each gas of a mixture needs a share and a limit."""

    def __init__(self, shares: int, limits: int) -> None:
        super().__init__(
            f"Each gas needs a share and a limit; {shares} shares and {limits} limits were given."
        )


def _deviation(found: regulating.Deviation) -> Result:
    return Result(found.pressure, (f"{found.percent:.3g} % of the set point.",))


def _regulator_error(given: Given) -> Result:
    error = regulating.regulator_error(
        given.quantity("set_point"), given.quantity("outlet"), given.quantity("air")
    )
    limit = regulating.LEGAL_ERROR_LIMIT_PERCENT
    word = "within" if abs(error) <= limit else "outside"
    return Result(error, (f"{word.capitalize()} the limit of ± {limit:g} %.",), "%")


def _next_due(given: Given) -> Result:
    rule = intervals.interval(given.word("rule"))
    due = intervals.next_due(given.day("last"), rule.months, rule.calendar_years)
    years = {None: "", 1: ", and one in each calendar year"}.get(
        rule.calendar_years, f", and one in every {rule.calendar_years} calendar years"
    )
    return Result(due.isoformat(), (f"Not over {rule.months} months{years}.", f"Rule: {rule.source}."))


def _history(given: Given) -> Result:
    rule = intervals.interval(given.word("rule"))
    gap = intervals.first_gap(given.dates("visits"), rule)
    return Result("no gap") if gap is None else Result("gap", (gap.sentence, f"Rule: {rule.source}."))


def _mixture(given: Given) -> Result:
    shares, limits = given.quantities("shares"), given.quantities("limits")
    if len(shares) != len(limits):
        raise ListsDiffer(len(shares), len(limits))
    return Result(flammability.mixture_limit(list(zip(shares, limits, strict=True))))


def _gas_limits(given: Given) -> Result:
    found = flammability.limits_of(given.word("gas"))
    return Result((found.lower, found.upper), (f"Printed in: {found.source}.",))


def _work_rule(given: Given) -> Result:
    rule = work_rule(given.word("rule"))
    notes = (f"Printed in: {rule.source}.",)
    return Result(rule.items, (rule.sentence, *notes)) if rule.items else Result(rule.sentence, notes)


RECKONINGS = (
    Reckoning(
        "droop",
        "How far the outlet falls below the set point under flow",
        (_SET_POINT, Input("outlet", Dimension.GAUGE, "outlet pressure under flow")),
        "set point − outlet",
        _PRACTICE,
        lambda g: _deviation(regulating.droop(g.quantity("set_point"), g.quantity("outlet"))),
        {"set_point": "100 mbar", "outlet": "96 mbar"},
        unit_of_choice=True,
    ),
    Reckoning(
        "lock-up",
        "How far the outlet stands above the set point without flow",
        (_SET_POINT, Input("outlet", Dimension.GAUGE, "outlet pressure without flow")),
        "outlet − set point",
        _PRACTICE,
        lambda g: _deviation(regulating.lock_up(g.quantity("set_point"), g.quantity("outlet"))),
        {"set_point": "100 mbar", "outlet": "108 mbar"},
        unit_of_choice=True,
    ),
    Reckoning(
        "accuracy-band",
        "Lowest and highest outlet pressure of an accuracy class",
        (_SET_POINT, Input("class", Kind.WORD, "accuracy class", words=tuple(regulating.ACCURACY_CLASSES))),
        "set point × (1 ± class / 100)",
        _EN_334,
        lambda g: Result(regulating.accuracy_band(g.quantity("set_point"), g.word("class"))),
        {"set_point": "100 mbar", "class": "AC 5"},
        unit_of_choice=True,
    ),
    Reckoning(
        "highest-lock-up",
        "Highest lock-up pressure of a lock-up class",
        (_SET_POINT, Input("class", Kind.WORD, "lock-up class", words=tuple(regulating.LOCK_UP_CLASSES))),
        "set point × (1 + class / 100)",
        _EN_334,
        lambda g: Result(regulating.highest_lock_up(g.quantity("set_point"), g.word("class"))),
        {"set_point": "100 mbar", "class": "SG 10"},
        unit_of_choice=True,
    ),
    Reckoning(
        "regulator-error",
        "Error of a regulator, of its absolute set point",
        (
            _SET_POINT,
            Input("outlet", Dimension.GAUGE, "outlet pressure read"),
            Input("air", Dimension.ABSOLUTE, "pressure of the air", "101.325 kPa(a)"),
        ),
        "E = (Po − Pset) / (Pset + Ps) × 100 %",
        "Measurement Canada S-G-03 Part 16, sec. 2.1.1-2.1.2",
        _regulator_error,
        {"set_point": "35 kPa", "outlet": "36 kPa"},
    ),
    Reckoning(
        "overpressure-limit",
        "Highest pressure that overpressure protection may let a system reach",
        (
            _MAOP,
            Input("at_75_smys", Dimension.GAUGE, "pressure at a hoop stress of 75 % SMYS", optional=True),
        ),
        "60 psi and more: MAOP + 10 % or 75 % SMYS, the lower; 12 to below 60 psi: + 6 psi; below 12 psi: + 50 %",
        "49 CFR 192.201(a)(2)(i)-(iii)",
        lambda g: Result(
            overpressure.overpressure_limit(g.quantity("maop"), g.maybe("at_75_smys")),
            (f"Low-pressure systems have a rule of their own: {overpressure.LOW_PRESSURE_RULE}",),
        ),
        {"maop": "100 psi"},
        unit_of_choice=True,
    ),
    Reckoning(
        "four-percent-limit",
        "Limit where the hoop stress at a grandfathered MAOP exceeds 72 % SMYS",
        (_MAOP,),
        "MAOP + 4 %",
        "49 CFR 192.739(b), read in the same text of 16 NYCRR 255.739(b)",
        lambda g: Result(overpressure.four_percent_limit(g.quantity("maop"))),
        {"maop": "1000 psi"},
        unit_of_choice=True,
    ),
    Reckoning(
        "hoop-pressure",
        "Pressure at a share of the yield strength of a pipe",
        (
            Input("strength", Dimension.STRESS, "specified minimum yield strength"),
            Input("wall", Dimension.LENGTH, "nominal wall thickness"),
            Input("diameter", Dimension.LENGTH, "nominal outside diameter"),
            Input("share", Kind.NUMBER, "share of the yield strength", "0.75"),
        ),
        "P = 2 S t / D × share",
        "Barlow's formula as in 49 CFR 192.105 (from memory)",
        lambda g: Result(
            overpressure.hoop_pressure(
                g.quantity("strength"), g.quantity("wall"), g.quantity("diameter"), g.number("share")
            )
        ),
        {"strength": "42 ksi", "wall": "0.25 in", "diameter": "12.75 in"},
        unit_of_choice=True,
    ),
    Reckoning(
        "next-due",
        "Day by which the next visit has to take place",
        (Input("last", Kind.DATE, "latest visit"), _RULE),
        "the earlier of last + months and the end of the last calendar year allowed",
        "49 CFR 192.739(a), 192.740(b), 192.743, 192.731(c); PHMSA PI-92-052 for the corresponding day",
        _next_due,
        {"last": "2024-10-01"},
    ),
    Reckoning(
        "history-gap",
        "The first two visits too far apart",
        (Input("visits", Kind.DATES, "days of the visits"), _RULE),
        "each visit no later than the day due after the one before",
        "49 CFR 192.739(a), 192.740(b), 192.743, 192.731(c); PHMSA PI-92-052 for the corresponding day",
        _history,
        {"visits": "2024-03-15, 2024-11-20, 2026-01-10"},
    ),
    Reckoning(
        "gas-limits",
        "Explosive limits of a fuel gas in air",
        (Input("gas", Kind.WORD, "gas", words=tuple(flammability.GASES)),),
        "table",
        "US Bureau of Mines Bulletin 627 (1965) and the chart named in the note",
        _gas_limits,
        {"gas": "methane"},
        unit_of_choice=True,
    ),
    Reckoning(
        "detector-reading",
        "What a gas detector shows at a share of gas in air",
        (Input("gas_in_air", Dimension.RATIO, "share of gas by volume"), _LOWER),
        "share / lower limit",
        "definition of % LEL",
        lambda g: Result(flammability.share_of_lower_limit(g.quantity("gas_in_air"), g.quantity("lower"))),
        {"gas_in_air": "0.5 %", "lower": "5 %"},
    ),
    Reckoning(
        "gas-in-air",
        "Share of gas in air behind a reading in % LEL",
        (Input("reading", Dimension.LEL_SHARE, "reading of the detector"), _LOWER),
        "reading × lower limit",
        "definition of % LEL",
        lambda g: Result(flammability.concentration_at(g.quantity("reading"), g.quantity("lower"))),
        {"reading": "10 % LEL", "lower": "4.4 %"},
        unit_of_choice=True,
    ),
    Reckoning(
        "odorant-limit",
        "Share of gas in air at which its smell must be readily detectable",
        (_LOWER,),
        "lower limit / 5",
        "49 CFR 192.625(a)",
        lambda g: Result(flammability.odorant_limit(g.quantity("lower"))),
        {"lower": "5 %"},
        unit_of_choice=True,
    ),
    Reckoning(
        "gas-zone",
        "Where a mixture of gas and air stands",
        (Input("gas_in_air", Dimension.RATIO, "share of gas by volume"), _LOWER, _UPPER),
        "below, between or above the explosive limits",
        "definition of the limits; methane 5 to 15 % from US Bureau of Mines Bulletin 627 (1965)",
        lambda g: Result(
            str(flammability.zone(g.quantity("gas_in_air"), g.quantity("lower"), g.quantity("upper"))),
            (
                "Above the upper limit is no safe place: air let in brings the mixture back between the limits.",
            ),
        ),
        {"gas_in_air": "7 %"},
    ),
    Reckoning(
        "mixture-limit",
        "Lower explosive limit of a mixture of fuel gases",
        (
            Input("shares", Kind.QUANTITIES, "share of each gas in the fuel, 100 % in all"),
            Input("limits", Kind.QUANTITIES, "lower limit of each, in the same order"),
        ),
        "1 / sum of share / limit",
        "Le Chatelier's rule, as in US Bureau of Mines Bulletin 503 (1952; from memory)",
        _mixture,
        {"shares": "80 %, 15 %, 5 %", "limits": "5.0 %, 3.0 %, 2.1 %"},
        unit_of_choice=True,
    ),
    Reckoning(
        "work-rule",
        "A rule of the trade in words",
        (Input("rule", Kind.WORD, "name of the rule", words=tuple(WORK_RULES)),),
        "words",
        "see the note",
        _work_rule,
        {"rule": "release-order"},
    ),
)
