"""Everything kept about a person, as files: read without this program, harmless in a spreadsheet and in a browser."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from html.parser import HTMLParser

from tests.exports import samples
from trainer.exports import EXPORTS
from trainer.records import packet, packet_file
from trainer.records.signed_note import Verifier


def _files(sample: object) -> dict[str, bytes]:
    return packet_file.read(EXPORTS["person_data"].write(sample, paper="a4"))


def test_each_table_is_there_as_data_and_as_a_table() -> None:
    files = _files(samples.person_data())
    for name, rows in (("register", 1), ("practice", 20), ("mails", 0)):
        assert len(json.loads(files[f"data/{name}.json"])) == rows
        read = list(csv.reader(io.StringIO(files[f"tables/{name}.csv"].decode("utf-8-sig"), newline="")))
        assert len(read) == rows + 1
    assert json.loads(files["data/register.json"])[0]["evaluator"] is True
    told = list(csv.reader(io.StringIO(files["tables/practice.csv"].decode("utf-8-sig"), newline="")))
    assert told[1] == ["0", "yes", "Which way?\n=1+1"]


class _Links(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: set[str] = set()
        self.tags: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.found |= {value for name, value in attrs if name in ("href", "src") and value}


def test_the_page_reaches_files_of_the_zip_alone_and_takes_names_for_text() -> None:
    files = _files(samples.person_data())
    page = files["index.html"].decode()
    links = _Links()
    links.feed(page)
    assert links.found
    assert links.found <= set(files)
    assert "script" not in links.tags
    assert "hollowell" not in links.tags
    assert "Dagny &lt;Hollowell&gt;" in page
    assert "20 lines" in page
    assert "<summary>Show all 20</summary>" in page


def test_signed_where_there_is_a_key_and_whole_without_one() -> None:
    sample = samples.person_data()
    told = {fault.text for fault in packet.faults(_files(sample), [Verifier.read(sample.keys[0])])}
    # What the sample holds stands in no log.
    assert told == {
        "No entry of the log in this packet holds this record as it stands here.",
        "No observation in the log of this packet names this photograph.",
    }
    bare = _files(replace(sample, key=None, keys=()))
    assert packet.SIGNED not in bare
    assert "no key to sign its log with" in bare["index.html"].decode()
