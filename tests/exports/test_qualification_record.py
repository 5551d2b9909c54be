from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Any

import pytest
import rfc8785

from tests.exports import reading, samples
from trainer.exports.kinds import qualification_record
from trainer.exports.packets import RecordPacket
from trainer.records.methods import Method
from trainer.records.qualification import SkillShown

if TYPE_CHECKING:
    from pathlib import Path

    from trainer.records.qualification import QualificationRecord


def _paper(record: QualificationRecord, *, paper: str, **proof: Any) -> bytes:
    return qualification_record.write([RecordPacket(record, **proof)], paper=paper)


def printed(record: QualificationRecord) -> str:
    """Return all text of the record on paper."""
    return reading.text(_paper(record, paper="a4"))


def test_the_four_demands_of_the_law_stand_on_the_first_sheet_in_their_order() -> None:
    # 49 CFR 192.807(a)(1)-(4): the qualified individual, the covered tasks, the date(s) of current qualification,
    # the method(s). Read in a State rule that cites each federal paragraph.
    sheet = reading.pages(_paper(samples.record(), paper="a4"))[0]
    wanted = [
        "192.807(a)(1)",
        "Dagny Hollowell",
        "P-0107",
        "192.807(a)(2)",
        "T-31 Overhaul a pilot-loaded main valve",
        "192.807(a)(3)",
        "2027-03-18 to 2030-03-17",
        "192.807(a)(4)",
        "Written examination",
    ]
    table = sheet[sheet.index("The law asks for") :]
    places = [table.index(words) for words in wanted]
    assert places == sorted(places)


def test_every_method_stands_with_its_paragraph() -> None:
    # 49 CFR 192.803, "evaluation", items (a) to (e); read in a stored public copy.
    said = printed(samples.record(methods=tuple(Method)))
    for method in Method:
        assert f"{method.words} 49 CFR {method.paragraph}" in said


def test_says_which_procedure_and_revision_was_shown() -> None:
    record = samples.record()
    said = printed(record)
    for words in (record.module_title, record.document, record.revision[:12], "DN 50, DN 80, DN 100"):
        assert words in said
    assert record.revision in said.replace(" ", "")


def test_abnormal_conditions_are_listed_and_marked_shown() -> None:
    record = samples.record()
    said = printed(record)
    assert all(condition in said for condition in record.abnormal_conditions)
    assert said.count("Shown") - said.count("Shown:") == len(record.abnormal_conditions)
    assert "Not shown" not in said


def test_a_failed_part_is_told_in_words() -> None:
    record = samples.record(abnormal_passed=False)
    assert printed(record).count("Not shown") == len(record.abnormal_conditions)


def test_each_class_stands_with_its_counts_its_risk_and_its_numbers() -> None:
    record = samples.record()
    said = printed(record)
    assert record.statement in said
    assert "ab" * 32 in said.replace(" ", "")
    for item in record.classes:
        assert item.title in said
        assert f"Decided {item.decided_on} in series {item.series}." in said
    assert said.count("1 in 20 who fail one time in five") == len(record.classes)


def test_a_record_from_before_there_were_classes_prints_as_ever() -> None:
    said = printed(samples.record(statement="", classes=()))
    assert "decided together" not in said
    assert "Skill shown in practice" in said


def test_signatures_stand_with_name_time_and_meaning() -> None:
    # 21 CFR 11.50(a): printed name, date and time, meaning of the signature (from a public FDA answer).
    record = samples.record()
    said = printed(record)
    for signature, at in (
        (record.evaluator, "2027-03-16 14:05 UTC"),
        (record.supervisor, "2027-03-18 08:41 UTC"),
    ):
        assert f"{signature.name} Person number {signature.person}" in said
        assert f"Signed {at}" in said
        assert signature.meaning in said


def test_the_house_rule_of_two_people_is_claimed_only_where_it_was_kept() -> None:
    record = samples.record()
    assert "Two different people evaluated and signed" in printed(record)
    alone = replace(record, supervisor=replace(record.supervisor, person=record.evaluator.person))
    assert "Two different people" not in printed(alone)


def test_interval_supersession_and_keeping_are_told() -> None:
    said = printed(samples.record())
    assert "within 36 months of qualification" in said
    assert "practice in between keeps the order of work fresh" in said
    assert "record QR-000058" in said
    # 49 CFR 192.807(b): kept while the person does the task; prior ones and those of leavers five years.
    assert "Kept while the person does the task, then five years after it ends (49 CFR 192.807(b))" in said
    assert "no earlier record" in printed(samples.record(supersedes=""))


def test_skills_stand_with_their_practice() -> None:
    said = printed(samples.record())
    assert "Order of the tear-down 6 9 2027-03-12" in said
    assert "Renewal of soft parts 3 3 –" in said


def test_the_attached_file_is_the_canonical_json_of_the_record() -> None:
    record = samples.record()
    pdf = reading.reader(_paper(record, paper="us-letter"))
    (inside,) = pdf.attachments["QR-000117.record.json"]
    assert inside == rfc8785.dumps(record.as_data())
    assert json.loads(inside)["person"] == record.person


def test_the_attached_file_is_associated_with_the_document() -> None:
    # ISO 19005-3, 6.8: an embedded file is associated, with its relationship and its MIME type; from memory.
    root: Any = reading.reader(_paper(samples.record(), paper="a4")).root_object
    (entry,) = root["/AF"]
    file = entry.get_object()
    assert file["/AFRelationship"] == "/Data"
    assert file["/EF"]["/F"]["/Subtype"] == "/application/json"
    assert samples.record().number in file["/Desc"]


def test_another_program_takes_the_same_file_out(tmp_path: Path) -> None:
    record = samples.record()
    (tmp_path / "record.pdf").write_bytes(_paper(record, paper="a4"))
    reading.run("pdfdetach", "-saveall", "-o", tmp_path, tmp_path / "record.pdf")
    assert (tmp_path / "QR-000117.record.json").read_bytes() == rfc8785.dumps(record.as_data())


def test_the_printed_hash_is_that_of_the_attached_file() -> None:
    record = samples.record()
    digest = hashlib.sha256(rfc8785.dumps(record.as_data())).hexdigest()
    assert digest in printed(record).replace(" ", "")


def test_dated_by_the_supervisors_signature() -> None:
    metadata = reading.reader(_paper(samples.record(), paper="a4")).metadata
    assert metadata is not None
    assert metadata.creation_date == datetime(2027, 3, 18, 8, 41, tzinfo=UTC)


def test_empty_lists_are_told_not_left_blank() -> None:
    said = printed(
        samples.record(methods=(), abnormal_conditions=(), skills=(), sizes=(), result="", document="")
    )
    for words in (
        "No method is named.",
        "None is named for this task.",
        "No practice is on record.",
        "Result –",
    ):
        assert words in said


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_long_texts_fill_further_sheets_and_stay_inside_the_frame(paper: str, tmp_path: Path) -> None:
    long = "Bartholomew Featherstonehaugh of the Northern Distribution Pressure Control Team " * 2
    because = " ".join(f"R{number}." for number in range(900))
    record = samples.record(
        person=long,
        task_title=long,
        company=samples.COMPANY + " " + long,
        number="QR-" + "Druckregelanlagenwartung" * 3,
        abnormal_conditions=tuple(f"Condition number {number}" for number in range(60)),
        interval_because=because,
        skills=tuple(SkillShown(f"{long} {number}", 1, 2, date(2027, 1, 2)) for number in range(30)),
        evaluator=replace(samples.record().evaluator, name=long, meaning="I looked on. " * 60),
    )
    pdf = _paper(record, paper=paper)
    pages = reading.pages(pdf)
    assert len(pages) > 3
    said = " ".join(pages)
    assert all(f"Condition number {number} Shown" in said for number in range(60))
    assert all(f"R{number}." in said for number in range(900))
    assert reading.words_outside_frame(pdf, tmp_path) == []
    assert "Evaluated by" in pages[-1]
    # The head of a table that goes on stands again on each sheet that has a part of it.
    for page in pages:
        assert ("Condition number" in page) == ("Recognised and reacted to" in page)
