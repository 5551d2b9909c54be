"""What a sheet at the bench sends: one pressed button of a form, or what a device kept while it had no connection."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any

from trainer.actions.observe import Entry
from trainer.actions.transcribe import CardRow
from trainer.errors import TrainerError
from trainer.records.observation import StepMark, StepSeen
from trainer.web.bench.pages import CardForm

if TYPE_CHECKING:
    from werkzeug.datastructures import MultiDict

    from trainer.actions.observation_views import ObservationView, ObserveSheet

# What the button beside a note sends in place of a mark.
NOTE = "note"


class MarksUnreadable(TrainerError):
    """What the device sent is not a list of marks."""

    def __init__(self) -> None:
        super().__init__("The marks cannot be read; open the sheet again. They stay on this device.")


def from_form(sent: MultiDict[str, str], view: ObservationView, now: datetime) -> tuple[Entry, ...]:
    """Return what one press of a button enters: a mark, or the same one again to take it back, and changed notes.

    A press is `<step> <mark>`. The ticket of the form makes pressing twice harmless.
    """
    kept = {item.step: item for item in view.seen}
    step, _, said = sent.get("press", "").rpartition(" ")
    ticket = sent.get("ticket", "")[:40]
    entries = []
    for name, note in sent.items():
        about = name.removeprefix("note.")
        before = kept.get(about)
        if name == about or (about == step and said != NOTE):
            continue
        if note.strip() != (before.note if before else ""):
            seen = StepSeen(about, before.mark if before else None, note.strip(), now)
            entries.append(Entry(f"{ticket} {about}"[:80], seen))
    if said in list(StepMark):
        mark: StepMark | None = StepMark(said)
        if step in kept and kept[step].mark is mark:
            mark = None
        note = sent.get(f"note.{step}", "").strip()
        entries.append(Entry(f"{ticket} {step}"[:80], StepSeen(step, mark, note, now)))
    return tuple(entries)


def card_from(sent: MultiDict[str, str], sheet: ObserveSheet) -> CardForm:
    """Return what was typed from a paper card, whatever was sent."""
    rows = {}
    for step, _ in sheet.steps:
        said = sent.get(f"mark.{step}", "")
        mark = StepMark(said) if said in list(StepMark) else None
        rows[step] = CardRow(mark, sent.get(f"as.{step}", ""), sent.get(f"note.{step}", ""))
    return CardForm(
        size=sent.get("size", ""),
        evaluator=sent.get("evaluator", ""),
        filled_on=sent.get("filled_on", ""),
        revision=sent.get("revision", ""),
        rows=rows,
    )


def from_device(data: Any) -> tuple[Entry, ...]:
    """Return the marks a device sends as JSON: `{"entries": [{"ticket", "step", "mark", "note", "at"}]}`.

    Raises:
        MarksUnreadable: it is something else.
    """
    try:
        return tuple(_entry(item) for item in data["entries"])
    except (KeyError, TypeError, ValueError, AttributeError) as problem:
        raise MarksUnreadable from problem


def _entry(item: Any) -> Entry:
    at = datetime.fromisoformat(item["at"])
    if at.tzinfo is None:
        raise ValueError("a time without a zone")
    mark = StepMark(item["mark"]) if item["mark"] else None
    ticket, step, note = item["ticket"], item["step"], item["note"]
    if not all(isinstance(text, str) for text in (ticket, step, note)):
        raise TypeError("a text is something else")
    return Entry(ticket, StepSeen(step, mark, note.strip(), at))
