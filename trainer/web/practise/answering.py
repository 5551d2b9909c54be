"""Forms of answer on a page: what stands in the fields, and what a person has put into them.

The web knows the forms of `trainer.drills.answer_forms`, never kinds of drill.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from trainer.drills.answer_forms import Arrange, Choose, Line, NextStep, Number, Point, Say

if TYPE_CHECKING:
    from collections.abc import Mapping

    from werkzeug.datastructures import MultiDict

    from trainer.drills.answer_forms import Answer, Form


@dataclass(frozen=True)
class FormWords:
    """What a form's buttons say, and the script that adds to it ("" for none)."""

    button: str
    again: str
    yours: str
    script: str = ""


WORDS: Mapping[str, FormWords] = {
    Arrange.NAME: FormWords("Mark my order", "Order it again", "Your order", "js/arrange.js"),
    Choose.NAME: FormWords("Mark my choice", "Choose again", "Your choice"),
    Point.NAME: FormWords("Mark my places", "Point again", "Your places", "js/point.js"),
    Number.NAME: FormWords("Mark my figures", "Reckon it again", "Your figures"),
    # Each option of a moment is a button of its own.
    NextStep.NAME: FormWords("", "Begin another one", "Your picks"),
    Say.NAME: FormWords("Mark my words", "Say another one", "Your words"),
}


@dataclass(frozen=True)
class Filled:
    """What stands in the fields of an answer form.

    `lines` for arranged answers in the order shown, `focus` the button last pressed; `chosen` row → option;
    `values` field → (value, unit); `picked` what was picked at the moments before,
    `said_of` field → words. `ticket` makes a second
    sending of the same form harmless.
    """

    ticket: str
    started: str
    lines: tuple[Line, ...] = ()
    chosen: Mapping[str, str] = field(default_factory=dict)
    values: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    picked: tuple[str, ...] = ()
    said_of: Mapping[str, str] = field(default_factory=dict)
    focus: str = ""
    said: str = ""

    def at_end(self, line_id: str, way: str) -> bool:
        """Return whether a line cannot go further that way."""
        return bool(self.lines) and self.lines[0 if way == "up" else -1].id == line_id


def fresh(form: Form, ticket: str, started: str, leading_unit: str = "") -> Filled:
    """Return the form as it is first shown; the leading unit is chosen already where it is offered."""
    blank = Filled(ticket, started)
    if isinstance(form, Arrange):
        return replace(blank, lines=form.lines)
    if isinstance(form, Choose):
        return replace(blank, chosen={row.id: row.preset for row in form.rows})
    if isinstance(form, Number):
        units = {f.id: leading_unit if leading_unit in f.units else "" for f in form.fields}
        return replace(blank, values={name: ("", unit) for name, unit in units.items()})
    return blank


def filled(form: Form, sent: MultiDict[str, str]) -> Filled:
    """Return the form filled as it was sent, whatever was sent."""
    blank = Filled(sent.get("ticket", "")[:64], sent.get("started", "")[:40])
    if isinstance(form, Arrange):
        return replace(blank, lines=_in_order(form.lines, sent.getlist("line")))
    if isinstance(form, Choose):
        return replace(blank, chosen={row.id: sent.get(f"row.{row.id}", "") for row in form.rows})
    if isinstance(form, NextStep):
        # Longer than any run is no answer; the form says so.
        picks = [*sent.getlist("picked"), *sent.getlist("pick")[:1]]
        return replace(blank, picked=tuple(picks[: form.moments + 1]))
    if isinstance(form, Say):
        return replace(blank, said_of={f.id: sent.get(f"say.{f.id}", "") for f in form.fields})
    values = {f.id: (sent.get(f"value.{f.id}", ""), sent.get(f"unit.{f.id}", "")) for f in form.fields}
    return replace(blank, values=values)


def answer_of(form: Form, filled_in: Filled) -> Answer:
    """Return what is filled in as an answer travels; whether it is complete is for the form to judge."""
    if isinstance(form, Arrange):
        return [line.id for line in filled_in.lines]
    if isinstance(form, Choose):
        return {row: option for row, option in filled_in.chosen.items() if option}
    if isinstance(form, NextStep):
        return list(filled_in.picked)
    if isinstance(form, Say):
        return dict(filled_in.said_of)
    return {name: {"value": value, "unit": unit} for name, (value, unit) in filled_in.values.items()}


def moved(filled_in: Filled, command: str) -> Filled:
    """Return the form after one press of an arrow; `command` is the line's id, a space, and up or down."""
    line_id, _, way = command.rpartition(" ")
    lines = list(filled_in.lines)
    at = next((index for index, line in enumerate(lines) if line.id == line_id), None)
    if at is None or way not in ("up", "down"):
        return filled_in
    to = max(0, min(len(lines) - 1, at + (-1 if way == "up" else 1)))
    lines.insert(to, lines.pop(at))
    said = f"{lines[to].text}, now {to + 1} of {len(lines)}."
    ends = (way == "up" and to == 0) or (way == "down" and to == len(lines) - 1)
    focus_way = {"up": "down", "down": "up"}[way] if ends else way
    return replace(filled_in, lines=tuple(lines), focus=f"{line_id} {focus_way}", said=said)


def _in_order(lines: tuple[Line, ...], ids: list[str]) -> tuple[Line, ...]:
    """The lines in the order sent; those that were not sent keep their place at the end."""
    by_id = {line.id: line for line in lines}
    sent = [by_id[name] for name in dict.fromkeys(ids) if name in by_id]
    return (*sent, *(line for line in lines if line not in sent))
