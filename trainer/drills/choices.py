"""Rows to choose from, each with what there is to say about every one of its options; shared by the kinds."""

from __future__ import annotations

from dataclasses import dataclass
from math import prod
from typing import TYPE_CHECKING

from trainer.drills.answer_forms import Choose, Option, Row
from trainer.drills.lines import letters
from trainer.drills.mark import Mark, Remark

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from trainer.drills.answer_forms import Answer
    from trainer.drills.sketch import Sketch
    from trainer.procedure.model import Hazard


@dataclass(frozen=True)
class Verdict:
    """What there is to say when an option is chosen; `critical` errors are made up for by no credit."""

    text: str
    right: bool = False
    signal: Hazard | None = None
    critical: bool = False


@dataclass(frozen=True)
class Choice:
    """A row and the verdict on each of its options, by option id."""

    row: Row
    verdicts: Mapping[str, Verdict]

    @property
    def right(self) -> str:
        """The id of an option that is right."""
        return next(name for name, verdict in self.verdicts.items() if verdict.right)


def choice(
    letter: str,
    text: str,
    offered: Sequence[tuple[str, Verdict]],
    detail: str = "",
    preset: str = "",
    picture: Sketch | None = None,
    seen: str = "",
) -> Choice:
    """Return a row with its options in the order given; `preset` is the text of the option that stands chosen.

    `picture` and `seen`, what it shows in words, are those of the row.
    """
    options = tuple(Option(name, words) for name, (words, _) in _named(offered))
    chosen = next((option.id for option in options if option.text == preset), "")
    verdicts = {name: verdict for name, (_, verdict) in _named(offered)}
    return Choice(Row(letter, text, options, detail, chosen, picture, seen), verdicts)


def _named(offered: Sequence[tuple[str, Verdict]]) -> zip[tuple[str, tuple[str, Verdict]]]:
    return zip(letters(len(offered)), offered, strict=True)


def form(problem: Sequence[Choice]) -> Choose:
    """Return the rows as they are sent."""
    return Choose(tuple(item.row for item in problem))


def key(problem: Sequence[Choice]) -> Answer:
    """Return the right option of each row."""
    return {item.row.id: item.right for item in problem}


def guess(problem: Sequence[Choice]) -> float:
    """Return the probability that blind choices are all right."""
    return prod(
        sum(verdict.right for verdict in item.verdicts.values()) / len(item.verdicts) for item in problem
    )


def verdicts(problem: Sequence[Choice], answer: Answer) -> tuple[Verdict, ...]:
    """Return the verdict on each row of an answer that the form has read."""
    assert isinstance(answer, dict)  # noqa: S101  # the form has read it
    return tuple(item.verdicts[str(answer[item.row.id])] for item in problem)


def remarks(problem: Sequence[Choice], answer: Answer) -> tuple[Remark, ...]:
    """Return a remark a row."""
    said = zip(problem, verdicts(problem, answer), strict=True)
    return tuple(Remark(item.row.id, v.text, v.signal, v.right) for item, v in said)


def mark(problem: Sequence[Choice], answer: Answer, right: str, wrong: str) -> Mark:
    """Return the mark, each row counting the same.

    Args:
        problem: the rows.
        answer: the answer as the form has read it.
        right: the headline when every row is right.
        wrong: the headline otherwise; `{}` in it stands for how many of how many rows are wrong.
    """
    given = verdicts(problem, answer)
    off = sum(not verdict.right for verdict in given)
    return Mark(
        right=off == 0,
        credit=1 - off / len(given),
        critical=any(verdict.critical for verdict in given),
        headline=right if not off else wrong.format(f"{off} of {len(given)}"),
        remarks=remarks(problem, answer),
    )
