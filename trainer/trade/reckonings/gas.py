"""Named computations about units, pressure, trapped gas, hold tests and purging."""

from __future__ import annotations

from trainer.trade import hold_test, pressure, purge, trapped_gas
from trainer.trade.reckoning import Given, Input, Kind, Reckoning, Result
from trainer.trade.units import Dimension, Quantity

_AIR = Input("air", Dimension.ABSOLUTE, "pressure of the air", "101.325 kPa(a)")
_AIR_AT_END = Input(
    "air_at_end", Dimension.ABSOLUTE, "pressure of the air at the end, if read again", optional=True
)
_GAUGE_OR_ABSOLUTE = (Dimension.ABSOLUTE, Dimension.GAUGE)
_TRAPPED = Input("pressure", _GAUGE_OR_ABSOLUTE, "pressure of the gas; a gauge pressure has the air added")
_VOLUME = Input("volume", Dimension.VOLUME, "volume of the space")
_START = Input("start", Dimension.GAUGE, "gauge reading at the start")
_TEMPERATURES = (
    Input("start_temperature", Dimension.TEMPERATURE, "gas temperature at the start"),
    Input("end_temperature", Dimension.TEMPERATURE, "gas temperature at the end"),
)
_LOSS = Input("loss", Dimension.DIFFERENCE, "pressure lost, corrected for temperature, as 5 mbar(d)")
_TIME = Input("time", Dimension.TIME, "time between the readings")
_FOREIGN = (
    Input("from_share", Dimension.RATIO, "share of foreign gas at the start"),
    Input("to_share", Dimension.RATIO, "share wanted"),
)
_PCC2 = "ASME PCC-2-2008, Article 5.1 (now 501), Mandatory Appendices II and III, as in a stored page extract"
_BRANAN = "Branan, Rules of Thumb for Chemical Engineers"
_GAS_LAW = "gas law at constant volume; IRC/IFGC appendix A, A.6.5 Example 5"
_DECAY = "40 CFR 1065.644 (vacuum-decay leak rate) at one temperature"


def _trapped(given: Given) -> tuple[Quantity, tuple[str, ...]]:
    """Return the gas pressure as absolute, and a note when the air was added."""
    gas, air = given.quantity("pressure"), given.quantity("air")
    if gas.dimension is Dimension.ABSOLUTE:
        return gas, ()
    total = pressure.absolute(gas, air)
    return total, (f"{gas.printed()} gauge is {total.printed()}.",)


def _energy(given: Given) -> Result:
    gas, notes = _trapped(given)
    energy = trapped_gas.trapped_energy(
        gas, given.quantity("volume"), given.quantity("air"), given.number("k")
    )
    tnt = trapped_gas.tnt_equivalent(energy)
    return Result(energy, (*notes, f"As much as {tnt.printed()} of TNT by the metric constant."))


def _vented(given: Given) -> Result:
    gas, notes = _trapped(given)
    return Result(trapped_gas.vented_volume(gas, given.quantity("volume"), given.quantity("air")), notes)


def _hold(given: Given) -> Result:
    test = hold_test.hold_test(
        given.quantity("start"),
        given.quantity("end"),
        given.quantity("start_temperature"),
        given.quantity("end_temperature"),
        given.quantity("permitted_loss"),
        given.quantity("air"),
        given.maybe("air_at_end"),
    )
    return Result("passes" if test.passed else "fails", (test.sentence, f"Loss {test.loss.printed()}."))


def _cycles(cycles: purge.Cycles) -> Result:
    volumes = f"{cycles.volumes:.3g} volumes of inert gas at the pressure of the air"
    return Result(cycles.count, (f"{volumes}; {100 * cycles.share_left:.3g} % is left.",), "cycles")


RECKONINGS = (
    Reckoning(
        "convert",
        "The same quantity in another unit",
        (Input("value", Kind.QUANTITY, "number with unit"), Input("to", Kind.WORDS, "unit wanted")),
        "value × factor",
        "NIST Special Publication 811 (2008), Appendix B.8 and B.9",
        lambda g: Result(g.quantity("value").to(g.word("to"))),
        {"value": "60 N·m", "to": "lbf·ft"},
    ),
    Reckoning(
        "absolute-pressure",
        "Absolute pressure from a gauge reading",
        (Input("gauge", Dimension.GAUGE, "gauge pressure"), _AIR),
        "gauge + air",
        "definition; standard atmosphere from NIST SP 811 (2008), Appendix B.8",
        lambda g: Result(pressure.absolute(g.quantity("gauge"), g.quantity("air"))),
        {"gauge": "190.5 psi", "air": "14.4 psi(a)"},
        unit_of_choice=True,
    ),
    Reckoning(
        "gauge-pressure",
        "What a gauge reads at an absolute pressure",
        (Input("absolute", Dimension.ABSOLUTE, "absolute pressure"), _AIR),
        "absolute − air",
        "definition; standard atmosphere from NIST SP 811 (2008), Appendix B.8",
        lambda g: Result(pressure.gauge(g.quantity("absolute"), g.quantity("air"))),
        {"absolute": "9 bar(a)"},
        unit_of_choice=True,
    ),
    Reckoning(
        "pressure-difference",
        "Difference of two pressures of one kind",
        (
            Input("first", _GAUGE_OR_ABSOLUTE, "a pressure"),
            Input("second", _GAUGE_OR_ABSOLUTE, "the pressure taken from it"),
        ),
        "first − second",
        "definition",
        lambda g: Result(pressure.difference(g.quantity("first"), g.quantity("second"))),
        {"first": "8 bar", "second": "300 kPa"},
        unit_of_choice=True,
    ),
    Reckoning(
        "gas-force",
        "Force of a gas on a round face",
        (
            Input(
                "pressure",
                (Dimension.GAUGE, Dimension.DIFFERENCE),
                "gauge pressure, or difference across the face",
            ),
            Input("diameter", Dimension.LENGTH, "diameter out to the seal"),
        ),
        "F = p × π/4 d²",
        "definition of pressure",
        lambda g: Result(pressure.gas_force(g.quantity("pressure"), g.quantity("diameter"))),
        {"pressure": "8 bar", "diameter": "100 mm"},
        unit_of_choice=True,
    ),
    Reckoning(
        "spring-force",
        "Force of a spring",
        (
            Input("rate", Dimension.STIFFNESS, "spring rate"),
            Input("compression", Dimension.LENGTH, "by how much it is shorter than free"),
        ),
        "F = rate × compression",
        "Hooke's law",
        lambda g: Result(pressure.spring_force(g.quantity("rate"), g.quantity("compression"))),
        {"rate": "12 N/mm", "compression": "40 mm"},
        unit_of_choice=True,
    ),
    Reckoning(
        "reading-after",
        "What a gauge reads after the gas has changed its temperature",
        (_START, *_TEMPERATURES, _AIR, _AIR_AT_END),
        "p2 = p1 × T2 / T1, absolute",
        _GAS_LAW,
        lambda g: Result(
            hold_test.reading_after(
                g.quantity("start"),
                g.quantity("start_temperature"),
                g.quantity("end_temperature"),
                g.quantity("air"),
                g.maybe("air_at_end"),
            )
        ),
        {"start": "20 psi", "start_temperature": "70 °F", "end_temperature": "40 °F", "air": "14.7 psi(a)"},
        unit_of_choice=True,
    ),
    Reckoning(
        "hold-test",
        "Whether a pressure hold test passes",
        (
            _START,
            Input("end", Dimension.GAUGE, "gauge reading at the end"),
            *_TEMPERATURES,
            Input("permitted_loss", Dimension.DIFFERENCE, "loss the procedure permits, as 0.1 psi(d)"),
            _AIR,
            _AIR_AT_END,
        ),
        "loss = p1 × T2 / T1 − p2, absolute; passes when not over the permitted loss either way",
        f"{_GAS_LAW}; the verdict is common practice, no source",
        _hold,
        {
            "start": "20 psi",
            "end": "18 psi",
            "start_temperature": "70 °F",
            "end_temperature": "40 °F",
            "permitted_loss": "0.1 psi(d)",
            "air": "14.7 psi(a)",
        },
    ),
    Reckoning(
        "leak-rate",
        "Leak of a shut-in volume",
        (_VOLUME, _LOSS, _TIME),
        "q = V Δp / t",
        _DECAY,
        lambda g: Result(hold_test.leak_rate(g.quantity("volume"), g.quantity("loss"), g.quantity("time"))),
        {"volume": "10 L", "loss": "1 mbar(d)", "time": "1 min"},
        unit_of_choice=True,
    ),
    Reckoning(
        "leak-flow",
        "Leak of a shut-in volume as a flow of gas",
        (
            _VOLUME,
            _LOSS,
            _TIME,
            Input("reference", Dimension.ABSOLUTE, "pressure at which it counts", "101.325 kPa(a)"),
        ),
        "Q = V Δp / (t p)",
        _DECAY,
        lambda g: Result(
            hold_test.leak_flow(
                g.quantity("volume"), g.quantity("loss"), g.quantity("time"), g.quantity("reference")
            )
        ),
        {"volume": "10 L", "loss": "1 mbar(d)", "time": "1 min"},
        unit_of_choice=True,
    ),
    Reckoning(
        "hold-time",
        "How long a test holds until a leak shows",
        (
            _VOLUME,
            Input("leak", Dimension.LEAK_RATE, "leak that has to be found"),
            Input("smallest_loss", Dimension.DIFFERENCE, "least change that the gauge shows, as 1 mbar(d)"),
        ),
        "t = V Δp / q",
        f"{_DECAY}, solved for the time",
        lambda g: Result(
            hold_test.time_to_see(g.quantity("volume"), g.quantity("leak"), g.quantity("smallest_loss"))
        ),
        {"volume": "10 L", "leak": "0.5 mbar·L/s", "smallest_loss": "6 mbar(d)"},
        unit_of_choice=True,
    ),
    Reckoning(
        "trapped-energy",
        "Energy of trapped gas",
        (_TRAPPED, _VOLUME, _AIR, Input("k", Kind.NUMBER, "ratio of specific heats", "1.4")),
        "E = P V / (k − 1) × (1 − (Pa / P)^((k − 1) / k)), absolute; exponent 0.286 for k = 1.4",
        _PCC2,
        _energy,
        {"pressure": "8 bar", "volume": "50 L"},
        unit_of_choice=True,
    ),
    Reckoning(
        "safe-distance",
        "How far people stay away from a pneumatic test",
        (Input("energy", Dimension.ENERGY, "energy of the trapped gas"),),
        "the greater of 30 m (to 135.5 MJ) or 60 m (to 271 MJ), and 20 m/kg^(1/3) × TNT^(1/3)",
        _PCC2,
        lambda g: Result(trapped_gas.safe_distance(g.quantity("energy"))),
        {"energy": "100 MJ"},
        unit_of_choice=True,
    ),
    Reckoning(
        "vented-volume",
        "Volume that trapped gas fills in the open air",
        (_TRAPPED, _VOLUME, _AIR),
        "V (P − Pa) / Pa, absolute",
        "gas law at one temperature",
        _vented,
        {"pressure": "8 bar", "volume": "50 L"},
        unit_of_choice=True,
    ),
    Reckoning(
        "purge-dilution",
        "Volumes of inert gas to flow through",
        _FOREIGN,
        "ln(C0 / C)",
        f"{_BRANAN}, dilution purging",
        lambda g: Result(
            purge.dilution_volumes(g.quantity("from_share"), g.quantity("to_share")), unit="volumes"
        ),
        {"from_share": "21 %", "to_share": "1 %"},
    ),
    Reckoning(
        "purge-pressure",
        "Cycles of filling with inert gas and venting",
        (
            *_FOREIGN,
            Input("high", Dimension.ABSOLUTE, "pressure filled to"),
            Input("low", Dimension.ABSOLUTE, "pressure vented to", "1 atm"),
        ),
        "C = C0 / (high / low)^n; volumes n × (high − low) in atmospheres",
        f"{_BRANAN}, pressure-cycle purging",
        lambda g: _cycles(
            purge.pressure_cycles(
                g.quantity("from_share"), g.quantity("to_share"), g.quantity("high"), g.quantity("low")
            )
        ),
        {"from_share": "21 %", "to_share": "1 %", "high": "5 atm"},
    ),
    Reckoning(
        "purge-vacuum",
        "Cycles of drawing a vacuum and filling with inert gas",
        (
            *_FOREIGN,
            Input("low", Dimension.ABSOLUTE, "pressure drawn to"),
            Input("high", Dimension.ABSOLUTE, "pressure filled to", "1 atm"),
        ),
        "C = C0 × (low / high)^n; volumes n × (high − low) in atmospheres",
        f"{_BRANAN}, vacuum-cycle purging",
        lambda g: _cycles(
            purge.vacuum_cycles(
                g.quantity("from_share"), g.quantity("to_share"), g.quantity("low"), g.quantity("high")
            )
        ),
        {"from_share": "21 %", "to_share": "1 %", "low": "0.5 atm"},
    ),
)
