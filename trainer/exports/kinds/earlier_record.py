"""A record transcribed from an earlier paper: it says so in large words, and names the paper to look at."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.exports.list_sheet import Column, ListSheet, written
from trainer.exports.pdf import ENDING as ENDING
from trainer.exports.pdf import MEDIA_TYPE as MEDIA_TYPE
from trainer.exports.title_block import TitleBlock
from trainer.exports.words import day, moment

if TYPE_CHECKING:
    from collections.abc import Iterable

    from trainer.exports.packets import EarlierPacket
    from trainer.records.methods import Method

NAME = "earlier_record"
TITLE = "Transcribed record"
PERMISSION = "record:read"
SUBJECT = "the number of the transcribed record"

_COLUMNS = (Column("What", 28, bold=True), Column("As the paper has it", 72))


def write(packet: EarlierPacket, *, paper: str) -> bytes:
    """Return the transcribed record as PDF, dated by the day it was put down.

    Raises:
        PdfRefused: the compiler would not write it.
        PaperUnknown: there is no such paper.
    """
    record = packet.record
    sheet = ListSheet(
        heading=f"TRANSCRIBED from paper {record.paper}. Not evaluated and not signed here.",
        columns=_COLUMNS,
        rows=tuple(_rows(packet)),
        nothing="",
        told=_told(packet),
        large=True,
    )
    block = TitleBlock(
        legal_owner=record.company,
        title=TITLE,
        subtitle=f"{record.person}, task {record.task}",
        number=record.number,
        type=TITLE,
        date=record.transcribed.at.date(),
        issued_by=record.transcribed.name,
        approved_by=packet.checked.name if packet.checked and packet.stands else "",
    )
    return written(sheet, block, on=record.transcribed.at.date(), paper=paper)


def _rows(packet: EarlierPacket) -> Iterable[tuple[str, str]]:
    record = packet.record
    yield "Paper", f"{record.paper}, issued by {record.issued_by}"
    yield "Person, 192.807(a)(1)", f"{record.person}, number {record.person_id}"
    yield "Task, 192.807(a)(2)", f"{record.task} {record.task_title}"
    yield "Dates, 192.807(a)(3)", _dates(packet)
    yield "Methods, 192.807(a)(4)", "; ".join(_method(method) for method in record.methods)
    yield "Abnormal conditions", "Part of the evaluation, as the paper says (192.803)"
    yield "Evaluated by", f"{record.evaluator}, name as on the paper"
    yield "Signed by", f"{record.supervisor}, name as on the paper"
    put_down = record.transcribed
    yield "Transcribed by", f"{put_down.name} {put_down.person}, {moment(put_down.at)}: {put_down.meaning}"
    if packet.checked is None:
        yield "Held against the paper", "by nobody yet; until then it qualifies nobody"
    else:
        word = packet.checked
        yield "Held against the paper", f"{word.name} {word.person}, {moment(word.at)}: {word.meaning}"
    yield "Stands", packet.state


def _dates(packet: EarlierPacket) -> str:
    record = packet.record
    text = (
        f"evaluated {day(record.evaluated_on)}, valid {day(record.valid_from)} to {day(record.valid_until)}"
    )
    if record.until_on_paper > record.valid_until:
        text += (
            f"; the paper says {day(record.until_on_paper)}, the register allows {record.interval_months} months "
            "after the evaluation"
        )
    return text


def _method(method: Method) -> str:
    return f"{method.words} ({method.paragraph})"


def _told(packet: EarlierPacket) -> tuple[str, ...]:
    told = ["The paper is the record; this sheet only says what stands on it. Look at the paper."]
    if not packet.stands:
        told.append("This record qualifies nobody.")
    return tuple(told)
