"""The page of everything kept about a person that is read first: each table in words, with links to every file."""

from __future__ import annotations

import re
from html import escape
from typing import TYPE_CHECKING, Any

from trainer.exports import index_page
from trainer.exports.words import day

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.exports.person_packet import KeptTable, PersonDataPacket

# A longer table is folded, so that the page can be looked over.
_SHOWN_AT_ONCE = 12
# A moment as the log writes it; to the minute is enough to read.
_TO_THE_MINUTE = re.compile(r"(\d{4}-\d\d-\d\d)T(\d\d:\d\d):\d\d\.\d{6}Z")


def photograph(sha256: str) -> str:
    """Return the path of a photograph in the ZIP."""
    return f"photographs/{sha256}.jpg"


def page(packet: PersonDataPacket) -> bytes:
    """Return the index as HTML that needs no other file to be read."""
    return index_page.written(f"Everything kept about {packet.person}", _body(packet))


def in_words(value: Any) -> str | int | None:
    """Return a value of a table as a cell: a list line by line, yes or no in words."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (list, tuple)):
        return "\n".join(str(item) for item in value)
    return value if value is None or isinstance(value, int) else str(value)


def _body(packet: PersonDataPacket) -> Iterator[str]:
    yield f"<h1>Everything kept about {escape(packet.person)}</h1>"
    yield (
        f"<p>{escape(packet.company)}, number {escape(packet.person_id)}. Put together on {day(packet.made_on)} by "
        f"{escape(packet.issued_by)}. Moments are UTC.</p>"
    )
    yield (
        "<p>Not in here: passwords and other secrets, of which nothing readable is kept; a sitting that is not over; and what "
        "concerns other people, of whom only the names of those who evaluated, signed or decided are told.</p>"
    )
    yield (
        "<p>Each table lies beside this page twice more: as <code>data/…json</code> with everything, and as "
        "<code>tables/…csv</code>.</p>"
    )
    for table in packet.tables:
        yield from _table(table)
    yield from _files(packet)


def _table(table: KeptTable) -> Iterator[str]:
    yield f"<h2>{escape(table.title)}</h2>"
    if table.note:
        yield f"<p>{escape(table.note)}</p>"
    if not table.rows:
        yield "<p>Nothing.</p>"
        return
    links = f'<a href="data/{table.name}.json">as data</a>, <a href="tables/{table.name}.csv">as a table</a>'
    many = len(table.rows)
    yield f"<p>{many} {'line' if many == 1 else 'lines'}: {links}</p>"
    heads = "".join(f'<th scope="col">{escape(words)}</th>' for _, words in table.columns)
    rows = "".join(_row(table, row) for row in table.rows)
    written = f'<div class="wide" tabindex="0"><table><tr>{heads}</tr>{rows}</table></div>'
    yield (
        written
        if many <= _SHOWN_AT_ONCE
        else f"<details><summary>Show all {many}</summary>{written}</details>"
    )


def _row(table: KeptTable, row: Any) -> str:
    cells = (_cell(words, in_words(row.get(member))) for member, words in table.columns)
    return f"<tr>{''.join(cells)}</tr>"


def _cell(words: str, value: str | int | None) -> str:
    shown = "" if value is None else escape(_TO_THE_MINUTE.sub(r"\1 \2", str(value)))
    return f'<td data-label="{escape(words)}">{shown.replace(chr(10), "<br>")}</td>'


def _files(packet: PersonDataPacket) -> Iterator[str]:
    yield "<h2>Records as they were signed</h2>"
    if not packet.records and not packet.papers:
        yield "<p>None.</p>"
    for proven in packet.records:
        number = escape(proven.record.number)
        links = f'<a href="records/{number}.pdf">{number}</a> (<a href="records/{number}.json">data</a>'
        links += f', <a href="credentials/{number}.json">credential</a>)' if proven.credential else ")"
        yield f"<p>{links} {escape(proven.record.task)} {escape(proven.record.task_title)}</p>"
    for brought in packet.papers:
        number = escape(brought.record.number)
        yield (
            f'<p><a href="records/{number}.pdf">{number}</a> (<a href="records/{number}.json">data</a>), transcribed from '
            f"{escape(brought.record.paper)}</p>"
        )
    if packet.photographs:
        yield "<h2>Photographs</h2>"
        for sha256 in packet.photographs:
            path = photograph(sha256)
            yield f'<p><a href="{path}"><img src="{path}" alt="Photograph {sha256[:12]}"></a></p>'
    yield "<h2>Proofs</h2>"
    if packet.key is None:
        yield "<p>None: this installation has no key to sign its log with.</p>"
        return
    yield (
        f"<p>{len(packet.entries)} entries of the log lie in <code>log/</code>, each with the proof that it stands under a "
        "signed checkpoint. <code>python verify.py --key LINE</code> checks all files, with the line of the key that you got "
        "from its owner by another way; it needs Python 3.11 and the package <code>cryptography</code>, no network.</p>"
    )
