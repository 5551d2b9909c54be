"""The page of a packet that a person reads first: what is in it, in words, with links to every file."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, Any

from trainer.exports import index_page
from trainer.exports.words import day, short_revision
from trainer.records.qualification import DUTY_OF_CARE

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from trainer.exports.packets import AnsweredQuestion, InspectorPacket, RecordPacket


def page(packet: InspectorPacket, drawings: Mapping[str, Iterable[str]]) -> bytes:
    """Return the index as HTML that needs no other file to be read.

    Args:
        packet: what the packet holds.
        drawings: paths of the drawings by revision.
    """
    return index_page.written(f"Evidence: {packet.about}", _body(packet, drawings))


def _body(packet: InspectorPacket, drawings: Mapping[str, Iterable[str]]) -> Iterator[str]:
    yield f"<h1>Evidence: {escape(packet.about)}</h1>"
    yield (
        f"<p>{escape(packet.company)}. Qualifications that held between {day(packet.first)} and {day(packet.last)}. Put "
        f"together on {day(packet.made_on)} by {escape(packet.issued_by)}.</p>"
    )
    yield (
        "<p>Check it without trusting whoever gave it to you: <code>python verify.py --key LINE</code>, with the line of "
        "the key that you got from its owner by another way. It needs Python 3.11 and the package "
        "<code>cryptography</code>, no network.</p>"
    )
    yield f"<p>{escape(DUTY_OF_CARE)}</p>"
    yield "<h2>Qualification records</h2>"
    yield _records(packet)
    for proven in packet.records:
        yield from _answers(packet, proven)
    yield "<h2>Procedures as they were published</h2>"
    for shown in packet.revisions:
        name = f"{shown.module.title}, {shown.module.document or shown.module.id}"
        yield f"<h3>{escape(name)}, revision {short_revision(shown.revision)}</h3>"
        place = f"revisions/{shown.revision}"
        yield f'<p><a href="{place}.yaml">text</a>, <a href="{place}.json">canonical form</a></p>'
        for path in drawings.get(shown.revision, ()):
            yield f'<p><img src="{escape(path)}" alt="{escape(shown.module.title)}, labelled drawing"></p>'
    yield "<h2>The log</h2>"
    yield (
        f"<p>{len(packet.entries)} entries, each with the proof that it stands under the newest checkpoint; "
        f"{len(packet.growth)} proofs that the log under an earlier checkpoint is its beginning.</p>"
    )


def _records(packet: InspectorPacket) -> str:
    if not packet.records:
        return "<p>None held in that time.</p>"
    rows = "".join(_row(proven) for proven in packet.records)
    heads = ("Record", "Person", "Task", "Held", "Evaluated by", "Signed by", "Entry")
    return f"<table><tr>{''.join(f'<th>{head}</th>' for head in heads)}</tr>{rows}</table>"


def _row(proven: RecordPacket) -> str:
    record = proven.record
    number = escape(record.number)
    links = f'<a href="records/{number}.pdf">{number}</a> (<a href="records/{number}.json">data</a>'
    links += f', <a href="credentials/{number}.json">credential</a>)' if proven.credential else ")"
    entry = f'<a href="log/{proven.entry}.json">{proven.entry}</a>' if proven.entry else "none"
    cells = (
        links,
        f"{escape(record.person)} ({escape(record.person_id)})",
        f"{escape(record.task)} {escape(record.task_title)}",
        f"{day(record.valid_from)} to {day(record.valid_until)}",
        escape(record.evaluator.name),
        escape(record.supervisor.name),
        entry,
    )
    return f"<tr>{''.join(f'<td>{cell}</td>' for cell in cells)}</tr>"


def _answers(packet: InspectorPacket, proven: RecordPacket) -> Iterator[str]:
    mine = [one for one in packet.answers if one.record == proven.record.number]
    yield f"<h2>What stands behind {escape(proven.record.number)}</h2>"
    if proven.record.statement:
        yield f"<p>{escape(proven.record.statement)}</p>"
    yield f"<p>{escape(proven.record.result)}</p>" if proven.record.result else ""
    if not mine:
        yield "<p>No question of a sitting is on record for it.</p>"
    for one in mine:
        verdict = "right" if one.mark.get("right") else "wrong"
        head = f"Sitting {one.sitting}, question {one.position}: {one.question.get('title', '')}"
        yield f"<details><summary>{escape(head)} – {verdict}</summary>"
        yield "".join(f"<p>{escape(line)}</p>" for line in in_words(one))
        links = f'<a href="answers/{one.entry}.json">as data</a>, <a href="log/{one.entry}.json">entry {one.entry}</a>'
        yield f"<p>{links}</p></details>"


def in_words(one: AnsweredQuestion) -> list[str]:
    """Return question, answer and mark in lines to read."""
    question, mark = one.question, one.mark
    lines = [str(question.get("ask", "")), str(question.get("given", ""))]
    lines += _form(question, one.answer)
    lines += [f"Marked: {mark.get('headline', '')}"]
    lines += [str(remark.get("text", "")) for remark in mark.get("remarks", ())]
    return [line for line in lines if line.strip()]


def _form(question: Mapping[str, Any], answer: Any) -> list[str]:
    """Return what was offered and what was answered, by the form of the question."""
    form = question.get("form")
    if form == "arrange":
        texts = {line["id"]: line["text"] for line in question["lines"]}
        offered = "; ".join(texts.values())
        return [f"Offered: {offered}.", *(f"{n}. {texts[name]}" for n, name in enumerate(answer, start=1))]
    if "rows" in question:
        return [_chosen(row, answer) for row in question["rows"]]
    if "fields" in question:
        return [f"{asked['text']} {_given(answer.get(asked['id']))}" for asked in question["fields"]]
    if form == "next-step":
        offered = "; ".join(option["text"] for option in question["options"])
        return [f"Offered first: {offered}."]
    return [f"Answered: {answer}"]


def _chosen(row: Mapping[str, Any], answer: Any) -> str:
    texts = {option["id"]: option["text"] for option in row["options"]}
    offered = " / ".join(texts.values())
    return f"{row['text']} Offered: {offered}. Answered: {texts.get(answer.get(row['id']), 'nothing')}."


def _given(value: Any) -> str:
    if isinstance(value, dict):
        return f"Answered: {value.get('value', '')} {value.get('unit', '')}.".replace(" .", ".")
    return f"Answered: {value}."
