"""A question of a sitting shown again as it was asked, with the answer, the mark and the reasons, as HTML."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, Any

from trainer.exports.question_pictures import pictures
from trainer.exports.words import moment

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from trainer.exports.evidence import AnsweredQuestion
    from trainer.procedure.model import Module

_TICKED, _OPEN = "☒", "☐"


def drawn(one: AnsweredQuestion, module: Module) -> dict[str, str]:
    """Return the pictures that the question showed on a desk, as SVG by their place; places of a run begin with its moment."""
    found = {}
    for count, asked in enumerate(one.asked, start=1):
        for place, picture in pictures(asked, module).items():
            found[f"{count} {place}"] = picture.desk or picture.phone
    return found


def shown(one: AnsweredQuestion, at: Mapping[str, str]) -> str:
    """Return the question folded to its title and its mark.

    Args:
        one: what was asked and answered.
        at: paths of its pictures by place, as `drawn` names them.
    """
    question, mark = one.question, one.mark
    verdict = "right" if mark.get("right") else "wrong"
    head = f"{one.position}. {question.get('title', '')}"
    body = [
        f"<p><b>{_text(question, 'ask')}</b></p>",
        f"<p>{_text(question, 'given')}</p>" if question.get("given") else "",
        "".join(_caution(item) for item in question.get("cautions", ())),
        _picture(at, "1 question", "What the question showed"),
        *_form(one, at),
        *_mark(mark, verdict),
        f'<p class="links"><a href="answers/{one.entry}.json">as data</a> '
        f'<a href="log/{one.entry}.json">entry {one.entry} of the log</a></p>',
    ]
    return (
        f'<details id="q-{one.entry}"><summary>{escape(head)} <b>{verdict}</b>'
        f"<small>{moment(one.at)}</small></summary>{''.join(body)}</details>"
    )


def _text(data: Mapping[str, Any], name: str) -> str:
    return escape(str(data.get(name, "")))


def _caution(item: Mapping[str, Any]) -> str:
    return f'<p class="caution"><b>{escape(str(item["signal"]).upper())}</b> {_text(item, "text")}</p>'


def _picture(at: Mapping[str, str], place: str, words: str) -> str:
    path = at.get(place)
    return f'<img src="{escape(path)}" alt="{escape(words)}" loading="lazy">' if path else ""


def _form(one: AnsweredQuestion, at: Mapping[str, str]) -> Iterator[str]:
    """Yield what was offered and what was answered, by the form of the question."""
    question, answer, mark = one.question, one.answer, one.mark
    form = question.get("form")
    if form == "arrange":
        yield from _arranged(question, answer, mark)
    elif "rows" in question:
        yield from (_row(row, answer, mark, at) for row in question["rows"])
    elif "fields" in question:
        yield from (_field(field, answer, mark) for field in question["fields"])
    elif form == "next-step":
        yield from _run(one, at)
    else:
        yield f"<p>Answered: {escape(str(answer))}</p>"


def _arranged(question: Mapping[str, Any], answer: Sequence[str], mark: Mapping[str, Any]) -> Iterator[str]:
    texts = {line["id"]: _line(line) for line in question["lines"]}
    moved = {line["id"]: line for line in mark.get("lines", ()) if line["moved"]}
    yield (
        "<p>Offered in this order:</p><ul>" + "".join(f"<li>{text}</li>" for text in texts.values()) + "</ul>"
    )
    yield f"<p>Answered, {_text(question, 'first_label').lower()} at the top:</p><ol>"
    for name in answer:
        wrong = f" <b>belongs to place {moved[name]['place']}</b>" if name in moved else ""
        yield f"<li>{texts.get(name, escape(name))}{wrong}{_why(mark, name)}</li>"
    yield "</ol>"


def _line(line: Mapping[str, Any]) -> str:
    detail = f" <small>{_text(line, 'detail')}</small>" if line.get("detail") else ""
    return f"{_text(line, 'text')}{detail}"


def _row(
    row: Mapping[str, Any], answer: Mapping[str, str], mark: Mapping[str, Any], at: Mapping[str, str]
) -> str:
    name = row["id"]
    options = [
        _option(option, answer.get(name) == option["id"], at, f"1 option {name} {option['id']}")
        for option in row["options"]
    ]
    return (
        f'<div class="row"><p>{_line(row)}</p>{_picture(at, f"1 row {name}", str(row.get("seen") or row["text"]))}'
        f'<ul class="options">{"".join(options)}</ul>{_why(mark, name)}</div>'
    )


def _option(option: Mapping[str, Any], chosen: bool, at: Mapping[str, str], place: str) -> str:
    text = _text(option, "text")
    said = f"{_TICKED} <b>{text}</b> <small>answered</small>" if chosen else f"{_OPEN} {text}"
    return f"<li>{_picture(at, place, str(option.get('text', '')))}{said}</li>"


def _field(field: Mapping[str, Any], answer: Mapping[str, Any], mark: Mapping[str, Any]) -> str:
    given = answer.get(field["id"])
    said = (
        f"{given.get('value', '')} {given.get('unit', '')}".strip() if isinstance(given, dict) else str(given)
    )
    units = f" <small>in {escape(', '.join(field['units']))}</small>" if field.get("units") else ""
    return (
        f'<div class="row"><p>{_line(field)}{units}</p><p>Answered: <b>{escape(said)}</b></p>'
        f"{_why(mark, field['id'])}</div>"
    )


def _run(one: AnsweredQuestion, at: Mapping[str, str]) -> Iterator[str]:
    """Yield the moments of a run; where they cannot be made again, what the log holds of them."""
    told: list[Mapping[str, Any]] = [asked.as_data() for asked in one.asked] or [one.question]
    picked = one.mark.get("picked", ())
    for count, name in enumerate(one.answer, start=1):
        if count <= len(told):
            options = "".join(
                _option(option, option["id"] == name, at, f"{count} option {option['id']}")
                for option in told[count - 1]["options"]
            )
            offered = f'<ul class="options">{options}</ul>'
        else:
            words = picked[count - 1] if count <= len(picked) else name
            offered = f"<p>Answered: <b>{escape(str(words))}</b></p>"
        # The picture of the first moment stands above.
        seen = _picture(at, f"{count} question", f"What moment {count} showed") if count > 1 else ""
        yield f'<div class="row"><p>Moment {count}</p>{seen}{offered}{_why(one.mark, str(count))}</div>'


def _why(mark: Mapping[str, Any], about: str) -> str:
    return "".join(_remark(item) for item in mark.get("remarks", ()) if item.get("about") == about)


def _remark(item: Mapping[str, Any]) -> str:
    signal = f"<b>{escape(str(item['signal']).upper())}</b> " if item.get("signal") else ""
    verdict = "" if not item.get("marked", True) else "Right: " if item.get("right") else "Wrong: "
    return f'<p class="why">{signal}{verdict}{_text(item, "text")}</p>'


def _mark(mark: Mapping[str, Any], verdict: str) -> Iterator[str]:
    credit = f", credit {mark['credit']}" if "credit" in mark else ""
    critical = ", with an error that can hurt" if mark.get("critical") else ""
    yield f'<p class="marked"><b>Marked {verdict}{escape(credit)}{critical}.</b> {_text(mark, "headline")}</p>'
    incident = mark.get("incident")
    if incident:
        yield f'<p class="caution"><b>{escape(str(incident["signal"]).upper())}</b> {_text(incident, "text")}</p>'
    yield _why(mark, "")
    if mark.get("instead"):
        yield f"<p>Instead: {_text(mark, 'instead')}</p>"
