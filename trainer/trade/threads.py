"""Screw threads: stress and root areas by formula, usual pitches as a table, strength of classes."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction

from trainer.errors import TrainerError
from trainer.trade.refusals import NotPositive, must_be_positive
from trainer.trade.units import Dimension, Quantity, from_si

METRIC_COARSE_PITCHES: dict[int, Fraction] = {
    d: Fraction(p)
    for d, p in {
        5: "0.8",
        6: "1",
        8: "1.25",
        10: "1.5",
        12: "1.75",
        14: "2",
        16: "2",
        18: "2.5",
        20: "2.5",
        22: "2.5",
        24: "3",
        27: "3",
        30: "3.5",
        33: "3.5",
        36: "4",
        39: "4",
    }.items()
}
"""Coarse pitch in mm by nominal diameter in mm. Source: EN ISO 898-1, coarse thread tables (reproduced)."""

UNIFIED_THREADS: dict[str, str] = {
    **dict.fromkeys(
        [
            "10-24",
            "1/4-20",
            "5/16-18",
            "3/8-16",
            "7/16-14",
            "1/2-13",
            "9/16-12",
            "5/8-11",
            "3/4-10",
            "7/8-9",
            "1-8",
        ],
        "UNC",
    ),
    **dict.fromkeys(
        [
            "10-32",
            "1/4-28",
            "5/16-24",
            "3/8-24",
            "7/16-20",
            "1/2-20",
            "5/8-18",
            "3/4-16",
            "7/8-14",
        ],
        "UNF",
    ),
    **dict.fromkeys(["1-1/8-8", "1-1/4-8", "1-3/8-8", "1-1/2-8", "1-3/4-8", "2-8"], "UN"),
}
"""Series of the usual inch threads. Source: ASME B1.1 UNC, UNF and 8UN, reproduced tables."""

# Property class: tensile strength up to 16 mm and above, N/mm². Class 8.8 is the one that changes at 16 mm.
_TENSILE_STRENGTH = {"4.6": (400, 400), "8.8": (800, 830), "10.9": (1040, 1040)}
_PROOF_STRENGTH = {"8.8": (580, 600)}

_PI_QUARTER = Fraction(math.pi) / 4
_METRIC = re.compile(r"M(?P<d>\d{1,3}(?:\.\d)?)(?:\s*[x×]\s*(?P<p>\d(?:\.\d{1,2})?))?", re.ASCII)
_UNIFIED = re.compile(
    r"(?:(?:(?P<whole>\d{1,2})-)?(?P<above>\d{1,2})/(?P<below>2|4|8|16|32)|(?P<number>\d{1,2}))"
    r"-(?P<n>\d{1,2})(?:\s*(?P<series>UNC|UNF|UNEF|8UN|UN))?",
    re.ASCII,
)


class ThreadUnreadable(TrainerError):
    """A text that names no thread."""

    def __init__(self, text: str) -> None:
        super().__init__(f"'{text}' is not a thread; write M12, M12x1.75 or 3/4-10 UNC.")


class PitchUnknown(TrainerError):
    """A metric thread without pitch that has no usual coarse one here."""

    def __init__(self, text: str) -> None:
        super().__init__(f"The coarse pitch of {text} is not in the table; write it out, as in {text}x1.5.")


class PitchTooCoarse(TrainerError):
    """The pitch leaves no core."""

    def __init__(self, diameter: Quantity, pitch: str) -> None:
        super().__init__(f"A thread of {diameter} with a pitch of {pitch} has no core left.")


class ClassUnknown(TrainerError):
    """A property class, or one of its strengths, that is not in the table."""

    def __init__(self, name: str, strength: str) -> None:
        super().__init__(
            f"The {strength} of property class '{name}' is not in the table; give it as a stress."
        )


@dataclass(frozen=True)
class Thread:
    """A thread: nominal diameter, and pitch in mm (metric) or threads per inch (unified)."""

    name: str
    diameter: Quantity
    pitch: Quantity | None = None
    threads_per_inch: int | None = None

    @property
    def stress_area(self) -> Quantity:
        """The tensile stress area, in mm² or in²."""
        if self.pitch is not None:
            return metric_stress_area(self.diameter, self.pitch)
        return unified_stress_area(self.diameter, self.threads_per_inch or 0)

    @property
    def lead(self) -> Quantity:
        """The axial travel of one turn, single start."""
        return (
            self.pitch
            if self.pitch is not None
            else Quantity.of(Fraction(1, self.threads_per_inch or 1), "in")
        )


def thread(text: str) -> Thread:
    """Return the thread that a text such as `M16`, `M36x3`, `10-32` or `1-1/8-8 UN` names.

    Raises:
        ThreadUnreadable: it names none.
        PitchUnknown: a metric size without pitch that has no usual coarse one here.
    """
    text = text.strip()
    if (metric := _METRIC.fullmatch(text)) is not None:
        diameter = Quantity.of(metric["d"], "mm")
        if metric["p"] is None and diameter.value not in METRIC_COARSE_PITCHES:
            raise PitchUnknown(text)
        pitch = metric["p"] or METRIC_COARSE_PITCHES[int(diameter.value)]
        must_be_positive("diameter", diameter)
        return Thread(text, diameter, pitch=Quantity.of(pitch, "mm"))
    if (inch := _UNIFIED.fullmatch(text)) is not None:
        return Thread(text, Quantity.of(_inches(inch), "in"), threads_per_inch=int(inch["n"]))
    raise ThreadUnreadable(text)


def _inches(match: re.Match[str]) -> Fraction:
    if match["above"]:
        return int(match["whole"] or 0) + Fraction(int(match["above"]), int(match["below"]))
    number = int(match["number"])
    # Up to 2 in a whole number is inches with 4 to 14 threads; the numbered sizes 0 to 12 are finer threads.
    # Numbered size: 0.060 in + 0.013 in x number (ASME B1.1, from memory).
    is_inches = number in (1, 2, 3, 4) and int(match["n"]) < 20
    return Fraction(number) if is_inches else Fraction(60 + 13 * number, 1000)


def metric_stress_area(diameter: Quantity, pitch: Quantity) -> Quantity:
    """Return the tensile stress area pi/4 (d - 0.9382 P)² in mm².

    Args:
        diameter: nominal diameter d, a length.
        pitch: P, a length.

    Source: EN ISO 898-1, nominal stress area; Bickford, Introduction to the Design and Behavior of Bolted
        Joints, 4th ed.
    """
    must_be_positive("diameter", diameter)
    must_be_positive("pitch", pitch)
    core = _length(diameter) - Fraction("0.9382") * _length(pitch)
    if core <= 0:
        raise PitchTooCoarse(diameter, str(pitch))
    return from_si(_PI_QUARTER * core**2, "mm²")


def unified_stress_area(diameter: Quantity, threads_per_inch: int) -> Quantity:
    """Return the tensile stress area pi/4 (D - 0.9743/n)² in in².

    Args:
        diameter: nominal diameter D, a length.
        threads_per_inch: n.

    Source: ASME B1.1, reproduced tables; ASME PCC-1 Table H-1.
    """
    return _unified_area(diameter, threads_per_inch, Fraction("0.9743"))


def unified_root_area(diameter: Quantity, threads_per_inch: int) -> Quantity:
    """Return the root area pi/4 (D - 1.3/n)² in in², about a tenth under the stress area at 3/4 in.

    Args:
        diameter: nominal diameter D, a length.
        threads_per_inch: n.

    Source: ASME PCC-1 Table H-1, as reproduced.
    """
    return _unified_area(diameter, threads_per_inch, Fraction("1.3"))


def _unified_area(diameter: Quantity, threads_per_inch: int, depth: Fraction) -> Quantity:
    must_be_positive("diameter", diameter)
    if threads_per_inch <= 0:
        raise NotPositive("number of threads per inch", threads_per_inch)
    core = _length(diameter) - depth * _length(Quantity.of(1, "in")) / threads_per_inch
    if core <= 0:
        raise PitchTooCoarse(diameter, f"1/{threads_per_inch} in")
    return from_si(_PI_QUARTER * core**2, "in²")


def tensile_strength(property_class: str, diameter: Quantity) -> Quantity:
    """Return the least tensile strength Rm of a property class, in N/mm².

    Raises:
        ClassUnknown: the class is not in the table.

    Source: EN ISO 898-1 (load tables, reproduced): 8.8 has 800 N/mm² up to 16 mm and 830 above.
    """
    return _strength(_TENSILE_STRENGTH, "tensile strength", property_class, diameter)


def proof_strength(property_class: str, diameter: Quantity) -> Quantity:
    """Return the proof strength of a property class, in N/mm².

    Raises:
        ClassUnknown: the class is not in the table.

    Source: EN ISO 898-1: 8.8 has 580 N/mm² up to 16 mm and 600 above.
    """
    return _strength(_PROOF_STRENGTH, "proof strength", property_class, diameter)


def _strength(table: dict[str, tuple[int, int]], what: str, name: str, diameter: Quantity) -> Quantity:
    if name not in table:
        raise ClassUnknown(name, what)
    return Quantity.of(table[name][0 if diameter <= Quantity.of(16, "mm") else 1], "N/mm²")


def ultimate_load(area: Quantity, strength: Quantity, unit: str = "N") -> Quantity:
    """Return the least breaking load A x Rm of a bolt.

    Args:
        area: nominal stress area, to the three digits that the standard prints if its loads are to be met.
        strength: least tensile strength Rm, a stress.
        unit: force unit of the answer.

    Source: EN ISO 898-1, minimum ultimate tensile loads, coarse thread (reproduced).
    """
    must_be_positive("area", area)
    must_be_positive("strength", strength)
    newtons = area.must_be(Dimension.AREA).exact_si * strength.must_be(Dimension.STRESS).exact_si
    return from_si(newtons, unit)


def _length(length: Quantity) -> Fraction:
    return length.must_be(Dimension.LENGTH).exact_si
