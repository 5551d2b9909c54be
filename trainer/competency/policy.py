"""Every number that the owner of a programme sets, in one frozen object: meaning, bounds, default, and where it is from.

Shares and probabilities are decimals, counts and days whole numbers. In records a decimal travels as its decimal
string ("0.05"), a whole number as itself: nothing here ever becomes a float in a record. Whoever computes with a
decimal makes a float of it at the moment of computing.
"""

# ruff: noqa: RUF009  # the functions called as defaults only build fields
from __future__ import annotations

from dataclasses import dataclass, field, fields
from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING, Any, cast

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

OWN_CHOICE = "own choice"
_WALD = "own choice; the form of the plan: A. Wald, Sequential Analysis, 1947"
_LENIENT = f"{_WALD}; at 0.05 a single failure ends no series"
_TATEL = (
    "6.5 months for accuracy (13 for speed, 11 for mixed measures): Tatel and Ackerman 2025, Procedural skill"
    " retention and decay, Psychological Bulletin, abstract"
)
_TRACING = "common default of knowledge tracing (Corbett and Anderson 1995 for the equations)"
_SPACING = (
    "own choice, supported by Oermann, Krusmark, Kardong-Edgren, Jastrzembski and Gluck 2022: at one year refreshers"
    " every 3 months did well, those every 6 months worse"
)


# Numbers of earlier programs: policies that were kept with them must stay readable, and they decide nothing any more.
RETIRED = frozenset({"mastery_guess_most"})


class PolicyUnreadable(TrainerError):
    """Data is not a policy: an unknown name, a number that is none, one out of bounds, or two that contradict."""

    def __init__(self, why: str) -> None:
        self.why = why
        super().__init__(f"The policy cannot be used: {why}.")


def _share(default: str, least: str, most: str, group: str, meaning: str, source: str = OWN_CHOICE) -> Any:
    """Return a field for a decimal between two bounds, both included."""
    told = {"group": group, "meaning": meaning, "source": source}
    return field(
        default=Decimal(default),
        metadata={**told, "least": Decimal(least), "most": Decimal(most), "unit": ""},
    )


def _count(
    default: int, least: int, most: int, group: str, meaning: str, source: str = OWN_CHOICE, unit: str = ""
) -> Any:
    """Return a field for a whole number between two bounds, both included."""
    told = {"group": group, "meaning": meaning, "source": source}
    return field(default=default, metadata={**told, "least": least, "most": most, "unit": unit})


_GOOD = "The failure rate of a good technician in assessed attempts of this class"
_POOR = "The failure rate of somebody who must not be signed off in this class"
_FALSE_FAIL = "The risk that a good technician's first series ends as not ready"
_FALSE_PASS = "The risk that somebody at the poor rate is ever found ready, however many series are run"  # noqa: S105
_OBSERVED = "How many right attempts of this class a mentor must have witnessed"
_RETAINED = "A refresher is due when the predicted share of right performances falls to this"
_LONGEST = "A refresher is due after this long in any case, until the programme's own data say more"


@dataclass(frozen=True)
class ClassNumbers:
    """The numbers of one class of skills, under short names; see the fields of `Policy`."""

    good: Decimal
    poor: Decimal
    false_fail: Decimal
    false_pass: Decimal
    observed: int
    retained: Decimal
    longest_days: int


@dataclass(frozen=True)
class Policy:
    """The numbers of a programme; each carries its meaning, bounds and source as metadata."""

    critical_good: Decimal = _share("0.02", "0.001", "0.2", "Critical skills", f"{_GOOD}.", _WALD)
    critical_poor: Decimal = _share("0.2", "0.02", "0.5", "Critical skills", f"{_POOR}.", _WALD)
    critical_false_fail: Decimal = _share(
        "0.05", "0.01", "0.5", "Critical skills", f"{_FALSE_FAIL}.", _LENIENT
    )
    critical_false_pass: Decimal = _share("0.05", "0.001", "0.2", "Critical skills", f"{_FALSE_PASS}.", _WALD)
    critical_observed: int = _count(1, 0, 20, "Critical skills", f"{_OBSERVED}.")
    critical_retained: Decimal = _share("0.85", "0.5", "0.94", "Critical skills", f"{_RETAINED}.")
    critical_longest_days: int = _count(92, 7, 1830, "Critical skills", f"{_LONGEST}.", _SPACING, unit="days")

    ordinary_good: Decimal = _share("0.05", "0.001", "0.3", "Ordinary skills", f"{_GOOD}.", _WALD)
    ordinary_poor: Decimal = _share("0.3", "0.02", "0.6", "Ordinary skills", f"{_POOR}.", _WALD)
    ordinary_false_fail: Decimal = _share(
        "0.05", "0.01", "0.5", "Ordinary skills", f"{_FALSE_FAIL}.", _LENIENT
    )
    ordinary_false_pass: Decimal = _share("0.1", "0.001", "0.3", "Ordinary skills", f"{_FALSE_PASS}.", _WALD)
    ordinary_observed: int = _count(0, 0, 20, "Ordinary skills", f"{_OBSERVED}.")
    ordinary_retained: Decimal = _share("0.8", "0.5", "0.94", "Ordinary skills", f"{_RETAINED}.")
    ordinary_longest_days: int = _count(
        183, 7, 1830, "Ordinary skills", f"{_LONGEST}.", OWN_CHOICE, unit="days"
    )

    abnormal_good: Decimal = _share("0.02", "0.001", "0.2", "Abnormal conditions", f"{_GOOD}.", _WALD)
    abnormal_poor: Decimal = _share("0.2", "0.02", "0.5", "Abnormal conditions", f"{_POOR}.", _WALD)
    abnormal_false_fail: Decimal = _share(
        "0.05", "0.01", "0.5", "Abnormal conditions", f"{_FALSE_FAIL}.", _LENIENT
    )
    abnormal_false_pass: Decimal = _share(
        "0.05", "0.001", "0.2", "Abnormal conditions", f"{_FALSE_PASS}.", _WALD
    )
    abnormal_observed: int = _count(0, 0, 20, "Abnormal conditions", f"{_OBSERVED}.")
    abnormal_retained: Decimal = _share("0.85", "0.5", "0.94", "Abnormal conditions", f"{_RETAINED}.")
    abnormal_longest_days: int = _count(
        92, 7, 1830, "Abnormal conditions", f"{_LONGEST}.", _SPACING, unit="days"
    )

    right_per_skill: int = _count(
        1,
        0,
        20,
        "Assessment",
        "How often each single skill of a class must have been right in the series before the class is found ready.",
    )
    series_most: int = _count(
        4,
        1,
        20,
        "Assessment",
        "How many series of one class a person may begin before the owner of the programme decides what to do next.",
    )
    drills_per_sitting: int = _count(
        24,
        1,
        200,
        "Assessment",
        "How many drills one sitting holds at most; the series goes on in the next one.",
    )
    sitting_minutes: int = _count(
        0,
        0,
        480,
        "Assessment",
        "How long a sitting may last from its first question; 0 sets no limit. A question open when the time is up has failed.",
        unit="minutes",
    )
    exposure: int = _count(
        3,
        1,
        1000,
        "Assessment",
        "How many people may be assessed on the very same question before it is drawn no more.",
    )

    clean_in_a_row: int = _count(
        3,
        1,
        20,
        "Practice",
        "How many right in a row, each on a question not seen before, show a skill on the practice sheet.",
    )
    mastery_start: Decimal = _share(
        "0.3",
        "0.01",
        "0.9",
        "Practice",
        "The probability that a skill is known before it is practised.",
        _TRACING,
    )
    mastery_learn: Decimal = _share(
        "0.1",
        "0.001",
        "0.9",
        "Practice",
        "The probability of learning a skill at one practised drill.",
        _TRACING,
    )
    mastery_slip: Decimal = _share(
        "0.1",
        "0.001",
        "0.1",
        "Practice",
        "The probability of an error by somebody who knows; above .1 the model no longer means knowing.",
        _TRACING,
    )
    mastery_guess_least: Decimal = _share(
        "0.05",
        "0.001",
        "0.3",
        "Practice",
        "The least that the chance of a right guess is taken for: half-knowledge guesses better than none.",
    )
    minutes_per_drill: int = _count(
        2,
        1,
        60,
        "Practice",
        "The time a drill is taken to need until enough of them were timed.",
        unit="minutes",
    )
    timed_drills: int = _count(
        5,
        1,
        200,
        "Practice",
        "How many timed drills of a kind a person must have for the middle one to be used.",
    )
    sheet_minutes: int = _count(
        10, 2, 120, "Practice", "How long the short practice sheet lasts.", unit="minutes"
    )

    demonstrated: Decimal = _share(
        "0.95",
        "0.95",
        "0.999",
        "Retention",
        "The share of right performances taken for somebody who has just shown a skill; never 1.",
    )
    half_life_days: int = _count(
        198,
        7,
        3650,
        "Retention",
        "The days after which half of what was gained by practice is lost, until own refreshers say more.",
        _TATEL,
        unit="days",
    )
    refresher_after_days: int = _count(
        7,
        1,
        365,
        "Retention",
        "Shown again after at least this long a skill was refreshed, and says how fast it is forgotten.",
        unit="days",
    )
    half_life_spread: Decimal = _share(
        "0.7",
        "0.05",
        "3",
        "Retention",
        "How far a task's or a person's own half-life is expected to lie from the default: the standard deviation"
        " of its logarithm.",
    )

    change_days: int = _count(
        30,
        1,
        365,
        "Changes",
        "How many days after its publication a change that has to be shown anew may wait; from the day after that, whoever"
        " has not shown it counts as suspended.",
        unit="days",
    )

    refresher_weeks: int = _count(
        2,
        1,
        104,
        "Cover",
        "How long a refresher of a task is taken to need in a plan of cover, from its beginning to the signature.",
        unit="weeks",
    )
    new_weeks: int = _count(
        12,
        1,
        104,
        "Cover",
        "How long a new qualification is taken to need in a plan of cover, from its beginning to the signature.",
        unit="weeks",
    )

    remind_days: int = _count(
        30,
        1,
        180,
        "Reminders",
        "How many days before its last day the end of a qualification is told by e-mail, and how long after it.",
        unit="days",
    )
    remind_refresher_days: int = _count(
        7,
        0,
        90,
        "Reminders",
        "How many days before skills have to be shown again this is told by e-mail.",
        unit="days",
    )

    def of(self, skill_class: str) -> ClassNumbers:
        """Return the numbers of a class of skills: "critical", "ordinary" or "abnormal"."""
        names = (item.name for item in fields(ClassNumbers))
        return ClassNumbers(**{name: getattr(self, f"{skill_class}_{name}") for name in names})

    def as_data(self) -> dict[str, int | str]:
        """Return the policy as plain values: whole numbers as they are, decimals as decimal strings."""
        values = {item.name: getattr(self, item.name) for item in fields(self)}
        return {name: str(value) if isinstance(value, Decimal) else value for name, value in values.items()}


@dataclass(frozen=True)
class Number:
    """One number of the policy, told to people."""

    name: str
    group: str
    meaning: str
    default: int | Decimal
    least: int | Decimal
    most: int | Decimal
    unit: str
    source: str


def numbers() -> Iterator[Number]:
    """Yield every number of the policy in the order in which people are shown them."""
    for item in fields(Policy):
        told = item.metadata
        yield Number(
            item.name,
            told["group"],
            told["meaning"],
            cast("int | Decimal", item.default),
            told["least"],
            told["most"],
            told["unit"],
            told["source"],
        )


def read(data: Mapping[str, object]) -> Policy:
    """Return the policy that plain values describe; what they leave out has its default.

    Args:
        data: values by name, decimals as decimal strings, as `Policy.as_data` gives them.

    Raises:
        PolicyUnreadable: an unknown name, a number that is none, one out of bounds, or a pair that contradicts itself.
    """
    known = {number.name: number for number in numbers()}
    unknown = sorted(set(data) - set(known) - RETIRED)
    if unknown:
        raise PolicyUnreadable(f"there is no number '{unknown[0]}'")
    values: dict[str, Any] = {
        name: value_of(known[name], value) for name, value in data.items() if name in known
    }
    policy = Policy(**values)
    for group in ("critical", "ordinary", "abnormal"):
        if policy.of(group).good >= policy.of(group).poor:
            raise PolicyUnreadable(f"'{group}_good' must be less than '{group}_poor'")
    return policy


def value_of(number: Number, value: object) -> int | Decimal:
    """Return the value of one number from plain data, or from what somebody typed.

    Raises:
        PolicyUnreadable: it is none, or lies out of its bounds.
    """
    try:
        given = (
            Decimal(str(value).strip())
            if isinstance(value, (str, int)) and value is not True
            else Decimal("NaN")
        )
    except InvalidOperation:
        given = Decimal("NaN")
    if not given.is_finite():
        raise PolicyUnreadable(f"'{number.name}' must be a number")
    if isinstance(number.default, int) and given != given.to_integral_value():
        raise PolicyUnreadable(f"'{number.name}' must be a whole number")
    if not number.least <= given <= number.most:
        raise PolicyUnreadable(f"'{number.name}' must lie between {number.least} and {number.most}")
    return int(given) if isinstance(number.default, int) else given


def reference_page() -> str:
    """Return the page of the policy's numbers in Markdown."""
    lines = [
        "# The numbers of a programme",
        "",
        "The owner of a programme sets these numbers; a change is kept with who made it and when. Each has bounds,",
        "because beyond them the arithmetic no longer says what is written beside it. *Own choice* means that no",
        "publication gives the number. This page is written by `trainer language --write`.",
    ]
    group = ""
    for number in numbers():
        if number.group != group:
            group = number.group
            lines += [
                "",
                f"## {group}",
                "",
                "| number | default | bounds | meaning | source |",
                "|---|---|---|---|---|",
            ]
        unit = f" {number.unit}" if number.unit else ""
        lines.append(
            f"| `{number.name}` | {number.default}{unit} | {number.least} to {number.most} | {number.meaning}"
            f" | {number.source} |"
        )
    return "\n".join(lines) + "\n"
