"""What holds for every export, and what holds for every printed sheet."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from tests.exports import conformance, reading, samples
from trainer import exports
from trainer.exports import EXPORTS
from trainer.records.qualification import DUTY_OF_CARE

if TYPE_CHECKING:
    from collections.abc import Callable

PACKETS: dict[str, Callable[[], Any]] = {
    "activity_statements": samples.activity,
    "bench_card": samples.job,
    "cover_sheet": samples.cover_sheet,
    "crew_csv": samples.crew,
    "crew_sheet": samples.crew,
    "crew_xlsx": samples.crew,
    "earlier_record": samples.earlier,
    "inspector_packet": samples.evidence,
    "forecast_sheet": samples.forecast,
    "job_card": samples.job,
    "lapse_csv": samples.lapse_list,
    "lapse_list": samples.lapse_list,
    "lapse_xlsx": samples.lapse_list,
    "parts_kit": samples.job,
    "person_data": samples.person_data,
    "plan_sheet": samples.plan_sheet,
    "pocket_card": samples.pocket_card,
    "qualification_record": samples.record_packets,
    "question_bank": samples.question_bank,
    "sign_in_sheet": samples.bench_day,
}
PAPERS = {"a4": (210.0, 297.0), "us-letter": (215.9, 279.4)}
# The forms that a file can have, by the names that IANA lists them under.
FORMATS = {
    "pdf": "application/pdf",
    "csv": "text/csv; charset=utf-8",
    "json": "application/json",
    "zip": "application/zip",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}
SHEETS = [name for name in EXPORTS if EXPORTS[name].ENDING == "pdf"]
every_export = pytest.mark.parametrize("name", EXPORTS)
every_sheet = pytest.mark.parametrize("name", SHEETS)
every_paper = pytest.mark.parametrize("paper", PAPERS)
# Who stands in the outline of a paper that is of several people; all others have one title.
HEADS = {"qualification_record": ("Dagny Hollowell", "Dagny Hollowell 1", "Jonty Brackenfold 0")}
_WRITTEN: dict[tuple[str, str], bytes] = {}


def written(name: str, paper: str = "a4") -> bytes:
    """Return the export of the sample packet, written once for all tests."""
    if (name, paper) not in _WRITTEN:
        _WRITTEN[name, paper] = EXPORTS[name].write(PACKETS[name](), paper=paper)
    return _WRITTEN[name, paper]


def test_every_file_of_the_folder_is_registered_under_its_own_name() -> None:
    folder = Path(exports.__file__).parent / "kinds"
    files = {path.stem for path in folder.glob("*.py")} - {"__init__"}
    assert files == set(EXPORTS)
    assert all(name == EXPORTS[name].NAME for name in EXPORTS)


@every_export
def test_says_what_it_is_and_who_may_have_it(name: str) -> None:
    export = EXPORTS[name]
    assert FORMATS[export.ENDING] == export.MEDIA_TYPE
    assert export.TITLE[0].isupper()
    assert export.SUBJECT.startswith(("a ", "the "))
    resource, action = export.PERMISSION.split(":")
    assert resource
    assert action in ("read", "publish")


@every_export
@every_paper
def test_same_packet_gives_the_same_bytes(name: str, paper: str) -> None:
    assert EXPORTS[name].write(PACKETS[name](), paper=paper) == written(name, paper)


def test_another_process_gives_the_same_bytes() -> None:
    # One of each form.
    one_of_each = {EXPORTS[name].ENDING: name for name in EXPORTS}
    script = (
        "import hashlib; from tests.exports import test_exports as t;"
        f"print([hashlib.sha256(t.written(name)).hexdigest() for name in {sorted(one_of_each.values())}])"
    )
    environment = {**os.environ, "PYTHONHASHSEED": "7", "TZ": "Asia/Tokyo"}
    done = subprocess.run(  # noqa: S603  # this interpreter on a fixed script
        [sys.executable, "-c", script],
        check=True,
        capture_output=True,
        text=True,
        env=environment,
        cwd=Path(__file__).parents[2],
    )
    here = [hashlib.sha256(written(name)).hexdigest() for name in sorted(one_of_each.values())]
    assert done.stdout.strip() == str(here)


@every_sheet
@every_paper
def test_paper_is_the_one_asked_for(name: str, paper: str) -> None:
    wide, high = PAPERS[paper]
    if name == "crew_sheet":
        wide, high = high, wide
    for page in reading.reader(written(name, paper)).pages:
        assert float(page.mediabox.width) == pytest.approx(wide * reading.POINTS_A_MM, abs=0.1)
        assert float(page.mediabox.height) == pytest.approx(high * reading.POINTS_A_MM, abs=0.1)


@every_sheet
def test_title_and_language_are_set_and_shown(name: str) -> None:
    # ISO 14289-1 (PDF/UA-1): title shown, language set, tagged; from memory, section 7.
    pdf = reading.reader(written(name))
    root: Any = pdf.root_object
    assert pdf.metadata is not None
    assert pdf.metadata.title
    assert EXPORTS[name].TITLE in pdf.metadata.title
    assert root["/Lang"] == "en"
    assert root["/MarkInfo"]["/Marked"].value is True
    assert root["/ViewerPreferences"]["/DisplayDocTitle"].value is True


@every_sheet
def test_claims_both_standards(name: str) -> None:
    # ISO 19005-3, 6.6.4, and ISO 14289-1, 5: the identification entries in the metadata; from memory.
    root: Any = reading.reader(written(name)).root_object
    metadata = root["/Metadata"].get_data().decode()
    assert "<pdfaid:part>3</pdfaid:part>" in metadata
    assert "<pdfaid:conformance>A</pdfaid:conformance>" in metadata
    assert "<pdfuaid:part>1</pdfuaid:part>" in metadata


@every_sheet
def test_is_tagged_with_one_title_and_tables_that_have_heads(name: str) -> None:
    elements = reading.elements(written(name))
    kinds = [kind for kind, _ in elements]
    assert kinds.count("/H1") == len(HEADS.get(name, ("one",)))
    assert kinds.index("/H1") < kinds.index("/Table")
    assert kinds.count("/THead") == kinds.count("/Table")
    assert kinds.count("/TH") >= 2 * kinds.count("/Table")
    assert all(alternative for kind, alternative in elements if kind == "/Figure")


@every_sheet
@every_paper
def test_every_sheet_carries_duty_of_care_number_and_owner(name: str, paper: str) -> None:
    pages = reading.pages(written(name, paper))
    for number, page in enumerate(pages, start=1):
        assert reading.squeezed(DUTY_OF_CARE) in page
        assert ("1 of 1" if name in HEADS else f"{number} of {len(pages)}") in page
        assert samples.COMPANY in page


@every_sheet
def test_carries_its_own_fonts_and_no_other(name: str, tmp_path: Path) -> None:
    path = tmp_path / "sheet.pdf"
    path.write_bytes(written(name))
    fonts = [line.split() for line in reading.run("pdffonts", path).splitlines()[2:]]
    assert fonts
    for font in fonts:
        assert font[0].split("+")[1].startswith("BarlowSemiCondensed-")
        assert font[-5:-2] == ["yes", "yes", "yes"]  # embedded, a subset, with its letters named


@every_sheet
@every_paper
def test_an_independent_program_finds_no_fault_in_the_file(name: str, paper: str, tmp_path: Path) -> None:
    path = tmp_path / "sheet.pdf"
    path.write_bytes(written(name, paper))
    assert "No syntax or stream encoding errors found" in reading.run("qpdf", "--check", path)


@every_sheet
def test_poppler_sees_a_tagged_file_without_script(name: str, tmp_path: Path) -> None:
    path = tmp_path / "sheet.pdf"
    path.write_bytes(written(name))
    lines = dict(line.split(":", 1) for line in reading.run("pdfinfo", path).splitlines() if ":" in line)
    said = {key: value.strip() for key, value in lines.items()}
    assert (said["Tagged"], said["JavaScript"], said["Encrypted"]) == ("yes", "no", "no")


@every_sheet
@every_paper
@pytest.mark.parametrize("profile", ["ua1", "3a"])
def test_a_conformance_checker_agrees(name: str, paper: str, profile: str) -> None:
    assert conformance.objections(written(name, paper), profile) == []


@pytest.mark.parametrize("byte", [b"\r", b"x"])
def test_only_a_stream_as_long_as_it_says_is_let_through(byte: bytes) -> None:
    def stream(length: int) -> bytes:
        return b"9 0 obj\n<< /Length %d >>\nstream\nabc%s\nendstream\nendobj\n" % (length, byte)

    assert conformance.ends_in_carriage_return(stream(4), 9, 0) is (byte == b"\r")
    assert not conformance.ends_in_carriage_return(stream(3), 9, 0)
    assert not conformance.ends_in_carriage_return(stream(5), 9, 0)
    assert not conformance.ends_in_carriage_return(stream(4), 8, 0)


def test_the_conformance_checker_objects_to_a_file_that_claims_nothing() -> None:
    claim = b"<pdfuaid:part>1</pdfuaid:part>"
    plain = written("lapse_list")
    assert claim in plain
    assert conformance.objections(plain.replace(claim, b" " * len(claim)), "ua1") != []


@every_sheet
@every_paper
def test_nothing_stands_outside_the_frame(name: str, paper: str, tmp_path: Path) -> None:
    assert reading.words_outside_frame(written(name, paper), tmp_path) == []
