"""A number with its unit: read as written, converted exactly, printed as the trade prints it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Context, Decimal
from fractions import Fraction
from typing import TYPE_CHECKING

from trainer.errors import TrainerError
from trainer.trade.unit_table import UNITS, Dimension, Unit, UnitUnknown, unit_named, units_of

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = [
    "UNITS",
    "Dimension",
    "DimensionsDiffer",
    "Quantity",
    "QuantityUnreadable",
    "Unit",
    "UnitUnknown",
    "from_si",
    "unit_named",
    "units_of",
]

THIN_SPACE = "\u202f"
_MINUS = "\u2212"

_NUMBER = re.compile(
    r"""\s*(?P<sign>[-+\u2212]?)
        (?:(?:(?P<whole>\d{1,6})(?:\s+|-))?(?P<above>\d{1,6})/(?P<below>\d{1,3})
           |(?P<decimal>(?:\d+(?:\.\d+)?|\.\d+)(?:[eE][-+]?\d{1,2})?))
        (?P<unit>.*)""",
    re.VERBOSE | re.DOTALL | re.ASCII,
)
_MOST_DIGITS = 40
_CONVERTED = Context(prec=28, rounding=ROUND_HALF_UP)
# Cutting a number to its digits before the point needs room for all of them.
_WIDE = Context(prec=400, rounding=ROUND_HALF_UP)


class QuantityUnreadable(TrainerError):
    """A text that is not a number followed by a unit."""

    def __init__(self, written: str, why: str) -> None:
        self.written = written
        super().__init__(f"'{written}' is not a number with a unit: {why}.")


class DimensionsDiffer(TrainerError):
    """A quantity was asked for in a unit that measures something else."""

    def __init__(self, quantity: Quantity, wanted: Dimension) -> None:
        given = quantity.dimension
        super().__init__(
            f"{quantity} is {given.with_article}, not {wanted.with_article}{_hint(quantity, given, wanted)}."
        )


_MARKS = {Dimension.GAUGE: "", Dimension.ABSOLUTE: "(a)", Dimension.DIFFERENCE: "(d)"}


def _hint(quantity: Quantity, given: Dimension, wanted: Dimension) -> str:
    if given not in _MARKS or wanted not in _MARKS:
        return ""
    written = f"{wanted.with_article} is written {quantity.unit.removesuffix(_MARKS[given])}{_MARKS[wanted]}"
    if Dimension.DIFFERENCE in (given, wanted):
        return f"; {written}"
    return f": the pressure of the air lies between the two; {written}"


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number, with the decimals as written, and the printed name of its unit.

    Two quantities are equal when number and unit are: 1 m is not 100 cm, 0.6 kg is 0.60 kg. Comparing with
    `<` and its kin converts first.
    """

    value: Decimal
    unit: str

    def __post_init__(self) -> None:
        """Put the printed name of the unit in place of another spelling; refuse what is no number."""
        if not self.value.is_finite():
            raise QuantityUnreadable(f"{self.value} {self.unit}", "it has no finite value")
        if self.unit not in UNITS:
            object.__setattr__(self, "unit", unit_named(self.unit).name)

    @classmethod
    def of(cls, value: Decimal | Fraction | float | str, unit: str) -> Quantity:
        """Return a quantity from a number of any kind.

        A float keeps its shortest decimal form (60.0 is 60), a fraction 28 significant digits.
        """
        return cls(_decimal(value), unit_named(unit).name)

    @classmethod
    def parse(cls, text: str) -> Quantity:
        """Return the quantity that a text such as `60 N·m`, `-20 °C` or `1-1/2 in` says.

        Raises:
            QuantityUnreadable: it does not start with a number, or holds no unit.
            UnitUnknown: with the nearest known unit offered.
        """
        match = _NUMBER.fullmatch(text)
        if match is None:
            raise QuantityUnreadable(text.strip(), "it does not begin with a number")
        unit = match["unit"].strip()
        if unit == "":
            raise QuantityUnreadable(text.strip(), "the unit is missing")
        if re.match(r"[-–.,/\d]", unit):
            raise QuantityUnreadable(text.strip(), "write one number, decimals with a point, no separators")
        return cls(_read_number(match, text), unit_named(unit).name)

    @property
    def dimension(self) -> Dimension:
        """What is measured."""
        return UNITS[self.unit].dimension

    @property
    def exact_si(self) -> Fraction:
        """The value in the SI unit, exact; degrees excepted, whose radian is a floating-point one."""
        unit = UNITS[self.unit]
        return Fraction(self.value) * unit.factor + unit.offset

    @property
    def si(self) -> float:
        """The value in the SI unit: N·m, N, kg, m, Pa, rad, K, s …; a percentage as a share of one."""
        return float(self.exact_si)

    def to(self, unit: str) -> Quantity:
        """Return the same quantity in another unit of the same dimension.

        Raises:
            DimensionsDiffer: the unit measures something else, such as absolute where this is gauge.
            UnitUnknown: with the nearest known unit offered.
        """
        target = unit_named(unit)
        self.must_be(target.dimension)
        if target.name == self.unit:
            return self
        return Quantity(_decimal((self.exact_si - target.offset) / target.factor), target.name)

    def must_be(self, dimension: Dimension) -> Quantity:
        """Return the quantity itself when it measures that dimension.

        Raises:
            DimensionsDiffer: it measures something else.
        """
        if self.dimension is not dimension:
            raise DimensionsDiffer(self, dimension)
        return self

    def scaled(self, factor: Decimal | Fraction | float) -> Quantity:
        """Return the quantity times a plain number, in the same unit."""
        exact = factor if isinstance(factor, Fraction) else Fraction(_decimal(factor))
        return Quantity(_decimal(Fraction(self.value) * exact), self.unit)

    def __add__(self, other: Quantity) -> Quantity:
        """Return the sum in the unit of the first."""
        return Quantity(_decimal(Fraction(self.value) + Fraction(other.to(self.unit).value)), self.unit)

    def __sub__(self, other: Quantity) -> Quantity:
        """Return the difference in the unit of the first."""
        return Quantity(_decimal(Fraction(self.value) - Fraction(other.to(self.unit).value)), self.unit)

    def __lt__(self, other: Quantity) -> bool:
        """Compare what is measured, whatever the units."""
        return self._compared(other, Fraction.__lt__)

    def __le__(self, other: Quantity) -> bool:
        """Compare what is measured, whatever the units."""
        return self._compared(other, Fraction.__le__)

    def __gt__(self, other: Quantity) -> bool:
        """Compare what is measured, whatever the units."""
        return self._compared(other, Fraction.__gt__)

    def __ge__(self, other: Quantity) -> bool:
        """Compare what is measured, whatever the units."""
        return self._compared(other, Fraction.__ge__)

    def _compared(self, other: Quantity, how: Callable[[Fraction, Fraction], bool]) -> bool:
        return how(self.exact_si, other.must_be(self.dimension).exact_si)

    def rounded(self, figures: int = 3) -> Quantity:
        """Return the quantity to so many significant figures, never cutting before the decimal point."""
        if self.value == 0:
            return Quantity(Decimal(0), self.unit)
        last = min(0, self.value.adjusted() - figures + 1)
        cut = self.value.quantize(Decimal(1).scaleb(last), context=_WIDE)
        return Quantity(Decimal(_plain(cut.normalize())), self.unit)

    def printed(self, figures: int | None = None) -> str:
        """Return the text for print: number, thin space (U+202F), unit; the degree sign stands close up.

        Five and more digits before the point are set in groups of three (NIST SP 811, 10.5.3).

        Args:
            figures: significant figures; without it a number of up to four figures stays as written and
                a longer one is cut to three, but never before the decimal point.
        """
        short = figures is None and len(self.value.as_tuple().digits) <= 4
        value = self.value if short else self.rounded(figures or 3).value
        number = _grouped(_plain(value)).replace("-", _MINUS)
        return f"{number}{'' if self.unit == '°' else THIN_SPACE}{self.unit}"

    def __str__(self) -> str:
        """Return number and unit with every decimal as written, parseable again."""
        return f"{_plain(self.value)} {self.unit}"


def from_si(value: float | Fraction | Decimal, unit: str) -> Quantity:
    """Return the quantity that has this value in SI units, in the unit named.

    Raises:
        UnitUnknown: with the nearest known unit offered.
    """
    target = unit_named(unit)
    return Quantity(_decimal((Fraction(value) - target.offset) / target.factor), target.name)


def _decimal(value: Decimal | Fraction | float | str) -> Decimal:
    if isinstance(value, Fraction):
        return _CONVERTED.divide(Decimal(value.numerator), Decimal(value.denominator))
    if isinstance(value, float):
        # 60.0 out of a computation is 60; a decimal that nobody wrote must not be printed as one.
        return Decimal(int(value)) if value.is_integer() and abs(value) < 1e15 else Decimal(repr(value))
    return Decimal(value)


def _plain(value: Decimal) -> str:
    """Return the decimal without an exponent."""
    return format(value, "f")


def _grouped(number: str) -> str:
    whole, point, decimals = number.partition(".")
    if len(whole.lstrip("-")) < 5:
        return number
    return f"{int(whole):,}".replace(",", THIN_SPACE) + point + decimals


def _read_number(match: re.Match[str], text: str) -> Decimal:
    if match["decimal"]:
        number = Decimal(match["decimal"])
        if len(_plain(number)) > _MOST_DIGITS:
            raise QuantityUnreadable(text.strip()[:_MOST_DIGITS] + "…", "the number is too long")
    else:
        below = int(match["below"])
        # Inch fractions only: halves to sixty-fourths are finite decimals, a third of an inch is a slip.
        if below not in (2, 4, 8, 16, 32, 64):
            raise QuantityUnreadable(text.strip(), "fractions are halves, quarters … sixty-fourths")
        number = int(match["whole"] or 0) + Decimal(int(match["above"])) / below
    return number if match["sign"] in ("", "+") else -number
