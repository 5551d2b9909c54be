from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone
from typing import Any

import pytest
import typst

from tests.exports import reading, samples
from trainer.exports.kinds import qualification_record
from trainer.exports.packets import RecordPacket
from trainer.exports.pdf import Attachment, Paper, PaperUnknown, PdfRefused, compose, settable

AT = datetime(2027, 3, 18, 8, 41, tzinfo=UTC)


def kit(**changes: Any) -> bytes:
    """Return an empty parts kit: the smallest sheet there is."""
    block = {
        field: field
        for field in (
            "legal_owner",
            "title",
            "subtitle",
            "number",
            "type",
            "revision",
            "issued_by",
            "approved_by",
        )
    }
    more = dict.fromkeys(("subject_label", "subject", "extra_label", "extra", "date"), "")
    data = {
        "owner": "An owner",
        "block": {**block, **more, "title_level": 1, "subtitle_level": 0, **changes},
        "duty": ["Duty."],
        "size": "",
        "always": [],
        "on_condition": [],
    }
    return compose("parts_kit", data, title="Small sheet", at=AT, paper="a4")


def test_a_sign_that_no_font_has_is_refused_in_one_sentence() -> None:
    with pytest.raises(PdfRefused) as refused:
        kit(issued_by="山田")
    said = str(refused.value)
    assert said.startswith("The sheet 'Small sheet' cannot be printed: ")
    assert "山" in said
    assert said.count(".") == 1
    assert "\n" not in said


def test_a_refused_sheet_does_not_spoil_the_next_one() -> None:
    before = kit()
    with pytest.raises(PdfRefused):
        kit(issued_by="山田")
    assert kit() == before


def test_names_beyond_latin_letters_are_printed() -> None:
    printed = reading.text(kit(issued_by="Łucja Ngũgĩ", approved_by="Ελένη Иванова"))
    assert "Łucja Ngũgĩ" in printed
    assert "Ελένη Иванова" in printed


def test_signs_of_the_trade_are_in_the_fonts() -> None:
    signs = "≤ 60\u202fN·m ≥ 2½ × 10² μm → ⌀ 108 ± 0.5 °C −20"
    assert reading.squeezed(signs) in reading.text(kit(issued_by=signs))


def test_what_people_write_is_never_read_as_template_text() -> None:
    written = '#panic("x") $x^2$ *bold* [box] \\ `raw` @label <label> "quoted" //'
    assert written in reading.text(kit(title=written))


def test_paper_is_one_of_two() -> None:
    assert Paper.named("us-letter") is Paper.US_LETTER
    with pytest.raises(PaperUnknown, match=r"^'a5' is not a paper size here; use a4 or us-letter\.$"):
        Paper.named("a5")


def test_the_date_inside_is_the_moment_given_whatever_its_zone() -> None:
    data = {"owner": "An owner", "papers": [_record_data()]}
    same = AT.astimezone(timezone(timedelta(hours=9)))
    first, second = (
        compose("qualification_record", data, title="T", at=at, paper="a4", attachments=[_json(b"{}")])
        for at in (AT, same)
    )
    assert first == second
    metadata = reading.reader(first).metadata
    assert metadata is not None
    assert metadata.creation_date == AT


def _record_data() -> dict[str, Any]:
    return qualification_record._data(RecordPacket(samples.record()), "", begins=True)


def _json(data: bytes) -> Attachment:
    return Attachment("a.json", "Data", data)


def test_control_signs_go_and_blanks_stay() -> None:
    assert settable("a\tb\nc\x07d\u2028e") == "a b cd e"


def test_letters_with_marks_are_composed() -> None:
    assert settable(["A\u030angstro\u0308m", {"x": "e\u0301"}]) == ["Ångström", {"x": "é"}]


def test_numbers_and_truth_pass_unchanged() -> None:
    assert settable({"a": 3, "b": True, "c": None}) == {"a": 3, "b": True, "c": None}


def test_only_overlong_words_may_break() -> None:
    assert settable("x" * 26) == "x" * 26
    assert settable("x" * 30).replace("\u200b", "") == "x" * 30
    assert settable("x" * 30).count("\u200b") == 1


_PICTURE = """image(bytes("<svg xmlns='http://www.w3.org/2000/svg' width='9' height='9'/>"), format: "svg")"""


@pytest.mark.parametrize(
    ("source", "why"),
    [
        # ISO 14289-1 as typst 0.15 holds it: what our papers may not lack is refused, not written.
        (f'#set document(title: "x")\n#{_PICTURE}', "alt"),
        ("= H\ntext", "title"),
        ('#set document(title: "x")\n= H\n=== skip\ntext', "heading level"),
    ],
)
def test_the_compiler_refuses_what_the_standard_for_accessible_papers_forbids(source: str, why: str) -> None:
    with pytest.raises(typst.TypstError, match=why):
        typst.compile(source.encode(), format="pdf", pdf_standards=["ua-1"])
    assert typst.compile(source.encode(), format="pdf")
