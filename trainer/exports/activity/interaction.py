"""How a form of answer and an answer are told in a statement: the type of interaction, its components, the response.

Source: ADL, Experience API 1.0.3, Part Two, 2.4.4.1 and 2.4.5.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from trainer.drills.answer_forms import Arrange, Choose, Number, Say

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from trainer.drills.answer_forms import Form, Row

_AND, _GOES_WITH = "[,]", "[.]"
_LANGUAGE = "en"
# A text of somebody's own that looks like one of the marks that part answers.
_LIKE_A_MARK = re.compile(r"\[([,.:])\]")


@dataclass(frozen=True)
class Interaction:
    """What stands in the definition of the activity, the response, and what is told beside it."""

    definition: Mapping[str, Any]
    response: str
    beside: Mapping[str, Any] = field(default_factory=dict)


def interaction(form: Form | None, answer: Any) -> Interaction:
    """Return a form and an answer that it has read; an answer to a form that is no longer known is told as it was kept."""
    if form is None:
        return Interaction(_typed("other"), json.dumps(answer, ensure_ascii=False, sort_keys=True))
    if isinstance(form, Arrange):
        return Interaction(_typed("sequencing", choices=_listed(form.lines)), _AND.join(answer))
    if isinstance(form, Choose):
        return _choice(form.rows, answer)
    if isinstance(form, Number):
        return _number(form, answer)
    if isinstance(form, Say):
        said = [_LIKE_A_MARK.sub(r"[ \1]", answer[asked.id]) for asked in form.fields]
        return Interaction(_typed("long-fill-in" if len(said) == 1 else "fill-in"), _AND.join(said))
    # Each moment of a run has options of its own, so that no list of them belongs to the question.
    return Interaction(_typed("other"), _AND.join(answer))


def _choice(rows: tuple[Row, ...], answer: Mapping[str, str]) -> Interaction:
    if len(rows) == 1:
        return Interaction(_typed("choice", choices=_listed(rows[0].options)), answer[rows[0].id])
    offered = [tuple((option.id, option.text) for option in row.options) for row in rows]
    alike = len(set(offered)) == 1
    targets = (
        _listed(rows[0].options)
        if alike
        else [
            _component(_own(row.id, option.id), option.text, row.text)
            for row in rows
            for option in row.options
        ]
    )
    pairs = (
        f"{row.id}{_GOES_WITH}{answer[row.id] if alike else _own(row.id, answer[row.id])}" for row in rows
    )
    return Interaction(_typed("matching", source=_listed(rows), target=targets), _AND.join(pairs))


def _own(row: str, option: str) -> str:
    """Return the id of an option that belongs to one row alone."""
    return f"{row}/{option}"


def _number(form: Number, answer: Mapping[str, Mapping[str, str]]) -> Interaction:
    """A number alone is numeric, with its unit beside it; several are filled in one behind the other."""
    if len(form.fields) == 1:
        given = answer[form.fields[0].id]
        return Interaction(_typed("numeric"), given["value"], {"unit": given["unit"]})
    filled = (f"{answer[asked.id]['value']} {answer[asked.id]['unit']}".strip() for asked in form.fields)
    return Interaction(_typed("fill-in"), _AND.join(filled))


def _typed(kind: str, **components: Any) -> dict[str, Any]:
    return {"interactionType": kind, **components}


def _listed(things: Iterable[Any]) -> list[dict[str, Any]]:
    return [_component(thing.id, thing.text) for thing in things]


def _component(name: str, text: str, of: str = "") -> dict[str, Any]:
    return {"id": name, "description": {_LANGUAGE: f"{of}: {text}" if of else text}}
