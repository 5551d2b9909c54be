"""The one table of units: printed name, dimension, exact factor to SI, and the spellings people write.

Gauge pressure, absolute pressure and pressure difference are three dimensions, so that none is ever taken
for another: `bar`, `kPa`, `psi` … are gauge pressures, `bar(a)`, `psi(a)` … absolute, `bar(d)`, `psi(d)` …
differences. A gauge reads what `bar` says; `atm` alone is absolute, because no gauge is marked in it.

Source: NIST Special Publication 811 (2008), Appendix B.8 (factors) and B.9. Exact definitions: inch 0.0254 m,
pound 0.453 592 37 kg, standard gravity 9.806 65 m/s², conventional mmHg 133.322 387 415 Pa (density
13 595.1 kg/m³), water 1000 kg/m³. The two inches of water at a temperature are table values.
"""

from __future__ import annotations

import difflib
import math
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from trainer.errors import TrainerError


class Dimension(StrEnum):
    """What a unit measures; the value is the word used in sentences."""

    TORQUE = "torque"
    FORCE = "force"
    MASS = "mass"
    LENGTH = "length"
    AREA = "area"
    VOLUME = "volume"
    GAUGE = "gauge pressure"
    ABSOLUTE = "absolute pressure"
    DIFFERENCE = "pressure difference"
    STRESS = "stress"
    STIFFNESS = "stiffness"
    ANGLE = "angle"
    RATIO = "ratio"
    LEL_SHARE = "share of the lower explosive limit"
    TEMPERATURE = "temperature"
    TIME = "time"
    FLOW = "flow"
    LEAK_RATE = "leak rate"
    PRESSURE_CHANGE = "rate of pressure change"
    ENERGY = "energy"

    @property
    def with_article(self) -> str:
        """The word with its article, for sentences."""
        return f"{'an' if self.value[0] in 'aeiou' else 'a'} {self.value}"


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: SI value = value x factor + offset; the offset is zero for all but °C and °F."""

    name: str
    dimension: Dimension
    factor: Fraction
    offset: Fraction = Fraction(0)


class UnitUnknown(TrainerError):
    """Nobody here knows the unit; the nearest known one is offered."""

    def __init__(self, written: str, nearest: str | None) -> None:
        self.written = written
        self.nearest = nearest
        hint = f"; did you mean '{nearest}'?" if nearest else "."
        super().__init__(f"'{written}' is not a known unit{hint}")


_INCH = Fraction("0.0254")
_FOOT = Fraction("0.3048")
_POUND = Fraction("0.45359237")
_GRAVITY = Fraction("9.80665")
_LBF = _POUND * _GRAVITY
_MERCURY = Fraction("133.322387415")
_HOUR = Fraction(3600)

# Name, factor, further spellings. Separators and case need no spelling of their own: see `_key`.
_TABLE: dict[Dimension, list[tuple[str, Fraction, str]]] = {
    Dimension.TORQUE: [
        ("N·m", Fraction(1), "newton-metre newton-metres newton-meter newton-meters"),
        ("lbf·ft", _LBF * _FOOT, "lb·ft ft·lb ft·lbf ft·lbs lbs·ft foot-pound foot-pounds pound-feet"),
        ("lbf·in", _LBF * _INCH, "lb·in in·lb in·lbf in·lbs lbs·in inch-pound inch-pounds pound-inches"),
        ("kgf·m", _GRAVITY, "kg·m m·kgf m·kg kp·m"),
    ],
    Dimension.FORCE: [
        ("N", Fraction(1), "newton newtons"),
        ("kN", Fraction(1000), "kilonewton kilonewtons"),
        ("lbf", _LBF, "pound-force pounds-force"),
        ("kgf", _GRAVITY, "kp kilogram-force"),
    ],
    Dimension.MASS: [
        ("kg", Fraction(1), "kilogram kilograms kilo kilos"),
        ("g", Fraction(1, 1000), "gram grams"),
        ("lb", _POUND, "lbs lbm pound pounds"),
    ],
    Dimension.LENGTH: [
        ("mm", Fraction(1, 1000), "millimetre millimetres millimeter millimeters"),
        ("cm", Fraction(1, 100), "centimetre centimetres centimeter centimeters"),
        ("m", Fraction(1), "metre metres meter meters"),
        ("in", _INCH, 'inch inches "'),
        ("ft", _FOOT, "foot feet '"),
    ],
    Dimension.AREA: [
        ("mm²", Fraction(1, 10**6), "sq·mm"),
        ("cm²", Fraction(1, 10**4), "sq·cm"),
        ("m²", Fraction(1), "sq·m"),
        ("in²", _INCH**2, "sq·in sqin"),
    ],
    Dimension.VOLUME: [
        ("L", Fraction(1, 1000), "litre litres liter liters dm³"),
        ("mL", Fraction(1, 10**6), "millilitre millilitres milliliter milliliters cm³ cc"),
        ("m³", Fraction(1), "cu·m"),
        ("ft³", _FOOT**3, "cu·ft cf cubic-foot cubic-feet"),
    ],
    Dimension.STRESS: [
        ("N/mm²", Fraction(10**6), ""),
        ("ksi", 1000 * _LBF / _INCH**2, "kip/in²"),
    ],
    Dimension.STIFFNESS: [
        ("N/mm", Fraction(1000), ""),
        ("kN/m", Fraction(1000), ""),
        ("lbf/in", _LBF / _INCH, "lb/in lbs/in"),
    ],
    # A degree is no rational number of radians; this one agrees with the floating-point value of pi.
    Dimension.ANGLE: [("°", Fraction(math.pi) / 180, "deg degree degrees º")],
    Dimension.RATIO: [
        ("%", Fraction(1, 100), "percent per·cent %·vol vol·% %·by·volume"),
        ("ppm", Fraction(1, 10**6), ""),
    ],
    Dimension.LEL_SHARE: [("% LEL", Fraction(1, 100), "%·of·LEL percent·LEL LEL·%")],
    Dimension.TIME: [
        ("s", Fraction(1), "sec second seconds"),
        ("min", Fraction(60), "minute minutes"),
        ("h", _HOUR, "hr hrs hour hours"),
    ],
    Dimension.FLOW: [
        ("m³/h", 1 / _HOUR, ""),
        ("ft³/h", _FOOT**3 / _HOUR, "cu·ft/h cf/h cfh"),
        ("L/min", Fraction(1, 60_000), ""),
        ("mL/min", Fraction(1, 60_000_000), "cm³/min cc/min"),
    ],
    Dimension.LEAK_RATE: [
        ("Pa·m³/s", Fraction(1), ""),
        ("mbar·L/s", Fraction(1, 10), ""),
    ],
    Dimension.PRESSURE_CHANGE: [
        ("Pa/s", Fraction(1), ""),
        ("mbar/min", Fraction(100, 60), ""),
        ("kPa/h", 1000 / _HOUR, ""),
        ("psi/h", _LBF / _INCH**2 / _HOUR, ""),
    ],
    Dimension.ENERGY: [
        ("J", Fraction(1), "joule joules"),
        ("kJ", Fraction(1000), "kilojoule kilojoules"),
        ("MJ", Fraction(10**6), "megajoule megajoules"),
    ],
}

# Spellings of a pressure that already say gauge, absolute or difference are derived from these.
_PRESSURES: list[tuple[str, Fraction, str]] = [
    ("Pa", Fraction(1), "pascal pascals"),
    ("mbar", Fraction(100), "millibar"),
    ("kPa", Fraction(1000), "kilopascal kilopascals"),
    ("bar", Fraction(10**5), "bars"),
    ("MPa", Fraction(10**6), "megapascal megapascals"),
    ("psi", _LBF / _INCH**2, "lbf/in² lb/in² pound/in²"),
    ("ozf/in²", _LBF / _INCH**2 / 16, "oz/in² osi"),
    ("kgf/cm²", _GRAVITY * 10**4, "kg/cm² kp/cm²"),
    ("mmH2O", _GRAVITY, "mm·wc mm·water mmwg"),
    ("inH2O", _GRAVITY * Fraction("25.4"), "in·wc inch·wc inches·wc in·water inwg iwc inH2O(conventional)"),
    ("inH2O(60°F)", Fraction("248.84"), "inH2O(60degF) inH2O(60F) inH2O·at·60°F inH2O·60°F"),
    ("inH2O(39.2°F)", Fraction("249.082"), "inH2O(39.2degF) inH2O(39.2F) inH2O·at·39.2°F inH2O·39.2°F"),
    ("ftH2O", _GRAVITY * Fraction("304.8"), "ft·wc ft·water"),
    ("mmHg", _MERCURY, ""),
    ("inHg", _MERCURY * Fraction("25.4"), ""),
]
_STANDARD_ATMOSPHERE = Fraction(101_325)

# °C and °F carry an offset; as temperatures only, never as differences of temperature.
_TEMPERATURES = [
    (Unit("°C", Dimension.TEMPERATURE, Fraction(1), Fraction("273.15")), "C degC celsius ºC"),
    (Unit("K", Dimension.TEMPERATURE, Fraction(1)), "kelvin kelvins degK"),
    (Unit("°F", Dimension.TEMPERATURE, Fraction(5, 9), Fraction("459.67") * 5 / 9), "F degF fahrenheit ºF"),
]

_SEPARATORS = str.maketrans(
    {**dict.fromkeys(" \t\u00a0\u2009\u202f·⋅•×*.-_‐‑^"), "²": "2", "³": "3", "₂": "2", "º": "°"}
)


def _key(text: str) -> str:
    """Return a spelling without its separators: `N·m`, `N.m`, `N m` and `Nm` are one."""
    return text.translate(_SEPARATORS)


def _pressure_units() -> list[tuple[Unit, list[str]]]:
    kinds = [
        ("", Dimension.GAUGE, ("", "(g)", "g", "gauge", "(gauge)", "gage")),
        ("(a)", Dimension.ABSOLUTE, ("(a)", "a", "abs", "(abs)", "absolute")),
        ("(d)", Dimension.DIFFERENCE, ("(d)", "d", "diff", "(diff)", "difference")),
    ]
    found = []
    for mark, dimension, endings in kinds:
        for name, factor, spellings in _PRESSURES:
            spelled = [word + ending for word in (name, *spellings.split()) for ending in endings]
            found.append((Unit(name + mark, dimension, factor), spelled))
    found.append((Unit("atm(a)", Dimension.ABSOLUTE, _STANDARD_ATMOSPHERE), ["atm", "atma", "atmabs"]))
    return found


def _all_units() -> list[tuple[Unit, list[str]]]:
    plain = [
        (Unit(name, dimension, factor), spellings.split())
        for dimension, rows in _TABLE.items()
        for name, factor, spellings in rows
    ]
    return [*plain, *_pressure_units(), *[(unit, words.split()) for unit, words in _TEMPERATURES]]


UNITS: dict[str, Unit] = {unit.name: unit for unit, _ in _all_units()}
"""Every unit by its printed name."""


def _spellings() -> dict[str, str]:
    known: dict[str, str] = {}
    for unit, words in _all_units():
        for word in (unit.name, *words):
            known.setdefault(_key(word), unit.name)
    return known


_EXACT = _spellings()
_CASELESS: dict[str, set[str]] = {}
for _word, _name in _EXACT.items():
    _CASELESS.setdefault(_word.lower(), set()).add(_name)


def unit_named(text: str) -> Unit:
    """Return the unit that a spelling means.

    Capitals decide only where they must: `PSI` and `Nm` are understood, and so would `NM` be.

    Raises:
        UnitUnknown: with the nearest known unit offered.
    """
    key = _key(text)
    if key in _EXACT:
        return UNITS[_EXACT[key]]
    names = _CASELESS.get(key.lower(), set())
    if len(names) == 1:
        return UNITS[next(iter(names))]
    near = difflib.get_close_matches(key.lower(), _CASELESS, n=1, cutoff=0.5)
    raise UnitUnknown(text.strip(), min(_CASELESS[near[0]]) if near else None)


def units_of(dimension: Dimension) -> tuple[str, ...]:
    """Return the printed names of all units of a dimension, in the order of the table."""
    return tuple(name for name, unit in UNITS.items() if unit.dimension is dimension)
