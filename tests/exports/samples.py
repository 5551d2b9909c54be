"""Invented packets for the tests of the sheets; no company, person, machine or value here exists."""

from __future__ import annotations

import hashlib
from datetime import UTC, date, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trainer import drills
from trainer.exports import EXPORTS
from trainer.exports.activity.done import Answered, Decided, Entry, Item, Qualified
from trainer.exports.cover_packets import (
    CoverHead,
    CoverPacket,
    ForecastPacket,
    PlannedLine,
    PlanPacket,
    TaskOverTime,
)
from trainer.exports.evidence import (
    AnsweredQuestion,
    Behind,
    InspectorPacket,
    ObservationShown,
    PaperShown,
    PolicyShown,
    RevisionShown,
    Right,
    Told,
)
from trainer.exports.packets import (
    ActivityPacket,
    BenchDayPacket,
    EarlierPacket,
    Held,
    JobCardPacket,
    Lapse,
    LapseListPacket,
    PocketCard,
    PocketCardPacket,
    QuestionBankPacket,
    RecordPacket,
)
from trainer.exports.person_packet import KeptTable, PersonDataPacket
from trainer.procedure import library
from trainer.records import canonical, credential, merkle, signed_note
from trainer.records.earlier import MEANING_CHECKED, MEANING_TRANSCRIBED, EarlierRecord
from trainer.records.key_file import LogKey
from trainer.records.methods import Method
from trainer.records.proof import EntryProof
from trainer.records.qualification import (
    MEANING_EVALUATED,
    MEANING_SIGNED,
    ClassShown,
    CoveredTask,
    CrewCell,
    CrewChange,
    CrewRow,
    CrewSheet,
    QualificationRecord,
    Signature,
    SkillShown,
    Standing,
)
from trainer.records.signed_note import Checkpoint
from trainer.records.signing_key import SigningKey

if TYPE_CHECKING:
    from collections.abc import Sequence

    from trainer.drills.answer_forms import Answer
    from trainer.drills.question import Question
    from trainer.procedure.model import Module

COMPANY = "Quillmarsh Gas Works (invented)"
HOME = "https://records.example"


def record(**changes: object) -> QualificationRecord:
    """Return a qualification record as the demo company would issue it."""
    values: dict[str, object] = {
        "number": "QR-000117",
        "company": COMPANY,
        "person": "Dagny Hollowell",
        "person_id": "P-0107",
        "task": "T-31",
        "task_title": "Overhaul a pilot-loaded main valve",
        "module": "piston-valve-overhaul",
        "module_title": "Overhaul the main valve",
        "document": "FG-PR-0412",
        "revision": "3f2a9c10b7d4e5668c21f09a7b6d5e4c3b2a190807f6e5d4c3b2a19087766554",
        "sizes": ("DN 50", "DN 80", "DN 100"),
        "evaluated_on": date(2027, 3, 16),
        "methods": (Method.WRITTEN, Method.SIMULATION, Method.DURING_TRAINING),
        "abnormal_conditions": (
            "The gauge does not return to zero after venting",
            "Gas is heard at the cover joint while the nuts are slackened",
            "The outlet pressure climbs with the main valve shut",
        ),
        "abnormal_passed": True,
        "result": "Shown: tear-down and rebuild in a safe order, way round of each ring, torque passes at DN 80.",
        "valid_from": date(2027, 3, 18),
        "valid_until": date(2030, 3, 17),
        "interval_months": 36,
        "interval_because": "Done about six times a year by each person, harmful when done wrong; "
        "practice in between keeps the order of work fresh.",
        "evaluator": Signature(
            "Jonty Brackenfold", "P-0031", datetime(2027, 3, 16, 14, 5, tzinfo=UTC), MEANING_EVALUATED
        ),
        "supervisor": Signature(
            "Osbert Fallowmere", "P-0002", datetime(2027, 3, 18, 8, 41, tzinfo=UTC), MEANING_SIGNED
        ),
        "supersedes": "QR-000058",
        "skills": (
            SkillShown("Order of the tear-down", 6, 9, date(2027, 3, 12)),
            SkillShown("Way round of the seat ring", 4, 5, date(2027, 3, 9)),
            SkillShown("Torque passes of the cover nuts", 5, 6, date(2027, 3, 11)),
            SkillShown("Renewal of soft parts", 3, 3, None),
        ),
        "statement": "Ready in all 2 classes: at most 1 in 20 who fall short in one of them would get this far.",
        "classes": (
            ClassShown(
                "The order of the work",
                "critical",
                1,
                22,
                0,
                4,
                date(2027, 3, 14),
                "0.2",
                "0.05",
                "ab" * 32,
                "Ready: at most 1 in 20 who fail one time in five would get this far.",
            ),
            ClassShown(
                "Abnormal conditions",
                "abnormal",
                2,
                24,
                1,
                0,
                date(2027, 3, 15),
                "0.2",
                "0.05",
                "ab" * 32,
                "Ready: at most 1 in 20 who fail one time in five would get this far.",
            ),
        ),
    }
    return QualificationRecord(**{**values, **changes})  # type: ignore[arg-type]  # tests change any field


_CREW = (
    ("Jonty Brackenfold", "III", "SSSSSSESSSSSSS"),
    ("Dagny Hollowell", "III", "SSSSSSSSSSSSSA"),
    ("Fenna Lanternby", "II", "SSSSSSSSASPP--"),
    ("Corin Mossgrave", "II", "S-SSSAPPPS----"),
    ("Edmer Pikestaff", "III", "SSSESSSSSSSLS-"),
    ("Berta Quillfeather", "II", "SSSSSSSSSSSSP-"),
    ("Ivo Saltmarsh", "II", "ESESSSAPPS----"),
    ("Ludo Tarnbeck", "I", "S--SPP---P----"),
    ("Ansel Thimblewick", "III", "SSSSSSSESSSSSP"),
    ("Gorse Underhay", "I", "SP-SSP---P----"),
    ("Kezia Windlestraw", "II", "LLLSSSSSSSP---"),
    ("Osric Yarrowgate", "I", "A--P----------"),
)
_TASKS = (
    ("Station", "Isolate and vent a run", 6),
    ("Station", "Throttle the bypass by hand", 4),
    ("Station", "Return to service", 4),
    ("Station", "Leak test at joints", 4),
    ("Main valve DN 80", "Strip down", 5),
    ("Main valve DN 80", "Inspect soft parts", 5),
    ("Main valve DN 80", "Inspect the seat ring", 4),
    ("Main valve DN 80", "Fit seal and backup rings", 5),
    ("Main valve DN 80", "Rebuild", 5),
    ("Main valve DN 80", "Tighten the cover", 6),
    ("Pilot", "Strip down", 4),
    ("Pilot", "Change the diaphragm", 8),
    ("Pilot", "Set and lock", 3),
    ("Pilot", "Find a fault", 2),
)
_STANDINGS = {
    "S": (Standing.SIGNED, date(2029, 6, 30)),
    "E": (Standing.ENDS_SOON, date(2027, 5, 14)),
    "L": (Standing.LAPSED, date(2026, 11, 30)),
    "A": (Standing.READY, None),
    "P": (Standing.IN_PRACTICE, None),
    "-": (Standing.NOT_ASSIGNED, None),
}


def crew(people: int = 12, tasks: int = 14, **changes: object) -> CrewSheet:
    """Return a crew sheet; beyond 12 people and 14 tasks the pattern comes again under other numbers."""
    values: dict[str, object] = {
        "company": COMPANY,
        "title": "Crew sheet, Hollow Tarn crew",
        "document": "FG-CS-0031",
        "day": date(2027, 3, 18),
        "tasks": tuple(_task(number) for number in range(tasks)),
        "rows": tuple(_row(number, tasks) for number in range(people)),
        "changes": (
            CrewChange(date(2027, 3, 2), "Fenna Lanternby", "T-08", Standing.READY, Standing.SIGNED),
            CrewChange(date(2027, 3, 9), "Ivo Saltmarsh", "T-07", Standing.IN_PRACTICE, Standing.READY),
            CrewChange(date(2027, 3, 11), "Dagny Hollowell", "T-14", Standing.IN_PRACTICE, Standing.READY),
            CrewChange(date(2027, 3, 16), "Osric Yarrowgate", "T-01", Standing.IN_PRACTICE, Standing.READY),
        ),
        "issued_by": "Hesper Nettlecombe",
    }
    return CrewSheet(**{**values, **changes})  # type: ignore[arg-type]  # tests change any field


def _task(number: int) -> CoveredTask:
    group, title, needed = _TASKS[number % len(_TASKS)]
    return CoveredTask(f"T-{number + 1:02}", title, 36, "Invented.", (), group, needed)


def _row(number: int, tasks: int) -> CrewRow:
    name, grade, pattern = _CREW[number % len(_CREW)]
    cells = tuple(CrewCell(*_STANDINGS[pattern[task % len(pattern)]]) for task in range(tasks))
    return CrewRow(f"P-{number:04}", name, grade, cells)


@cache
def main_valve() -> Module:
    """Return the invented main valve, read from its file."""
    path = Path(__file__).parent / "main_valve.yaml"
    return library.read_module(path.read_text(encoding="utf-8"), path.name)


def job(module: Module | None = None, size: str = "DN 80", **changes: object) -> JobCardPacket:
    """Return a job on the invented main valve."""
    values: dict[str, object] = {
        "module": module or main_valve(),
        "size": size,
        "company": COMPANY,
        "issued_by": "Hesper Nettlecombe",
        "approved_by": "Osbert Fallowmere",
        "plant_item": "MV-14, Hollow Tarn station",
        "issued_on": date(2027, 3, 18),
    }
    return JobCardPacket(**{**values, **changes})  # type: ignore[arg-type]  # tests change any field


def record_packet() -> RecordPacket:
    """Return a record with its entry, a checkpoint over it and its credential."""
    (packet,) = record_packets(1)
    return packet


@cache
def key() -> LogKey:
    """Return the key of the invented log."""
    return LogKey("quillmarsh.example/log", SigningKey(bytes(range(32))))


@cache
def record_packets(count: int = 3, each: int = 2) -> tuple[RecordPacket, ...]:
    """Return so many records, `each` a person, in a log of their own: entries 4, 5 … under one signed checkpoint."""
    records = [record()] + [
        record(
            number=f"QR-{n:06d}",
            person=f"{_CREW[n // each % len(_CREW)][0]} {n // each}",
            person_id=f"P-{n // each:04d}",
            task=f"T-{n % each + 1:02d}",
        )
        for n in range(1, count)
    ]
    before = [canonical.written({"number": n + 1, "payload": {"invented": n}}) for n in range(3)]
    entries = before + [
        canonical.written({"number": n, "payload": {"record": one.as_data()}})
        for n, one in enumerate(records, start=len(before) + 1)
    ]
    leaves = [merkle.leaf_hash(entry.encode()) for entry in entries]

    def node(address: merkle.Address) -> bytes:
        level, place = address
        if level == 0:
            return leaves[place]
        return merkle.node_hash(node((level - 1, 2 * place)), node((level - 1, 2 * place + 1)))

    checkpoint = Checkpoint(key().name, len(entries), merkle.root(leaves))
    note = signed_note.signed(checkpoint.text, key().name, key().key)
    return tuple(
        RecordPacket(
            one,
            EntryProof(n + 1, entries[n], merkle.inclusion_path(n, len(entries), node), note),
            canonical.written(credential.issued(one, key())).encode(),
        )
        for n, one in enumerate(records, start=len(before))
    )


def lapse_list(lines: int = 3) -> LapseListPacket:
    """Return a lapse list with so many lines, the first of them over."""
    return LapseListPacket(
        company=COMPANY,
        crew="Crew 2, south",
        document="LL-C2S-20270401",
        issued_by="Ruth Ashcombe",
        on=date(2027, 4, 1),
        ahead_days=60,
        lines=tuple(
            Lapse(
                date(2027, 3, 28) + timedelta(days=n),
                n - 4,
                f"Dagny Hollowell {n}",
                "T-31 Overhaul a pilot-loaded main valve",
                f"QR-2024-{n:04d}",
            )
            for n in range(lines)
        ),
    )


def bench_day(people: int = 5) -> BenchDayPacket:
    """Return a day at the bench with so many people."""
    return BenchDayPacket(
        company=COMPANY,
        crew="Crew 2, south",
        number="SI-C2S-20270401",
        issued_by="Hanne Brack",
        on=date(2027, 4, 1),
        module="piston-valve-overhaul",
        module_title="Overhaul the main valve",
        document="FG-PR-0412",
        task="T-31",
        people=tuple((f"P-{n:04d}", f"Dagny Hollowell {n}", "Technician II") for n in range(people)),
    )


def pocket_card(held: int = 3) -> PocketCardPacket:
    """Return the pocket card of somebody with so many qualifications."""
    return pocket_cards([held])


def pocket_cards(held: Sequence[int]) -> PocketCardPacket:
    """Return a pocket card for each number: of somebody with so many qualifications."""
    return PocketCardPacket(
        company=COMPANY,
        about="Dagny Hollowell" if len(held) == 1 else "Crew 2, south",
        number="P-0107" if len(held) == 1 else "PC-C2S-20270401",
        on=date(2027, 4, 1),
        issued_by="Ruth Ashcombe",
        log=key().name,
        cards=tuple(
            PocketCard(
                _CREW[(place + 1) % len(_CREW)][0], f"P-{place + 107:04d}", "Crew 2, south", _held(many)
            )
            for place, many in enumerate(held)
        ),
    )


def _held(many: int) -> tuple[Held, ...]:
    return tuple(
        Held(
            f"T-{n:02d}",
            "Overhaul a pilot-loaded main valve in the run",
            date(2030, 3, 17),
            f"QR-2027-{n:04d}",
            bytes([n]) * 32,
        )
        for n in range(many)
    )


def item(question: Question) -> Item:
    """Return which question that is."""
    return Item(
        question.module,
        question.revision,
        question.kind,
        question.size,
        question.seed,
        question.skill,
        question,
    )


def answered(question: Question, answer: Answer, number: int = 17) -> Answered:
    """Return a question answered right, as the log told it under a number."""
    at = datetime(2027, 3, 17, 9, 30, tzinfo=UTC)
    return Answered(
        entry=Entry(HOME, number, at),
        person="P-0107",
        item=item(question),
        answer=answer,
        right=True,
        critical=False,
        credit_thousandths=1000,
        headline="This order works.",
        started_at=at - timedelta(seconds=90),
    )


def activity() -> ActivityPacket:
    """Return what somebody did: an answer, an element class passed, a qualification."""
    module = library.load("piston-valve-overhaul")
    entry = Entry(HOME, 18, datetime(2027, 3, 17, 10, 0, tzinfo=UTC))
    asked = drills.ask(module, "order", "DN 80", 3)
    return ActivityPacket(
        "P-0107",
        (
            answered(asked, drills.key(module, "order", "DN 80", 3)),
            Decided(
                entry,
                "P-0107",
                4,
                module.id,
                module.revision,
                "order:ordinary",
                "Order",
                True,
                14,
                0,
                "Passed.",
            ),
            Qualified(entry, "P-0107", "P-0002", "QR-000117", "T-31", "Overhaul", date(2030, 3, 17)),
        ),
    )


def question_bank(kinds: tuple[str, ...] = ("order", "torque-pass"), seeds: int = 2) -> QuestionBankPacket:
    """Return some questions of a module that is shipped, the first seeds of each kind."""
    module = library.load("piston-valve-overhaul")
    return QuestionBankPacket(COMPANY, module, kinds, "DN 80", tuple(range(seeds)))


def evidence() -> InspectorPacket:
    """Return a packet with one record, its evaluation, a job watched, an answered question, and a procedure."""
    module = job().module
    return InspectorPacket(
        company=COMPANY,
        about="Dagny Hollowell, P-0107",
        first=date(2027, 1, 1),
        last=date(2027, 12, 31),
        made_on=date(2028, 1, 3),
        issued_by="Silas Orme",
        records=(record_packet(),),
        others=(),
        papers=(PaperShown(earlier().record, (_entry(2, "earlier:check", because=""),)),),
        behind={"QR-000117": _behind(module)},
        print_record=EXPORTS["qualification_record"].write,
        entries=(),
        growth=(),
        revisions=(RevisionShown("0" * 64, "main_valve.yaml", "module: invented", "{}", module),),
        policies=(PolicyShown("ab" * 32, "{}", (_entry(3, "policy:keep", policy="ab" * 32, numbers={}),)),),
        keys=(str(key().verifier),),
        key=key(),
    )


_PHOTOGRAPH = b"invented bytes of a photograph"


def _behind(module: Module) -> Behind:
    question = {
        "title": "Which way round",
        "ask": "Which way round?",
        "given": "",
        "form": "choose",
        "rows": [{"id": "r", "text": "Seat ring", "options": [{"id": "a", "text": "edge up"}]}],
    }
    evaluation = _entry(
        1125,
        "evaluation:record",
        evaluated_on="2027-03-17",
        methods=["oral", "simulation"],
        abnormal_conditions=["A shut valve passes"],
        abnormal_passed=True,
        passed=True,
        result="Done without a word.",
        basis="qualified for T-31 under QR-000090",
        meaning=MEANING_EVALUATED,
        observation=4,
    )
    mark = {
        "right": True,
        "credit": "1",
        "headline": "Right.",
        "remarks": [{"about": "r", "text": "Edge up."}],
    }
    return Behind(
        evaluation=evaluation,
        rights=(Right("Osric Yarrowgate", "qualified for T-31 under QR-000090", "QR-000090"),),
        observations=(_observation(module),),
        sittings=(_entry(1100, "sitting:release", sitting=7, because="Practice shows it."),),
        answers=(AnsweredQuestion(1120, 7, 1, _AT, question, {"r": "a"}, mark),),
        life=(
            _entry(
                1200, "qualification:suspend", cause="incident", on="2027-06-01", reason="Being looked into."
            ),
        ),
        notices=(_entry(1210, "notice:read", revision="2" * 64),),
    )


_AT = datetime(2027, 3, 17, 9, 30, tzinfo=UTC)


def _entry(number: int, action: str, **payload: object) -> Told:
    return Told(number, _AT, "P-0002", "Osric Yarrowgate", action, payload)


def _observation(module: Module) -> ObservationShown:
    first, second = list(module.steps.values())[:2]
    sha256 = hashlib.sha256(_PHOTOGRAPH).hexdigest()
    at = _AT.isoformat()
    record: dict[str, Any] = {
        "evaluator": "P-0002",
        "evaluator_name": "Osric Yarrowgate",
        "basis": "qualified for T-31 under QR-000090",
        "size": "DN 80",
        "steps": [
            {"step": first.id, "mark": "unaided", "note": "Checked twice.", "at": at},
            {"step": second.id, "mark": "", "note": "", "at": at},
        ],
        "photographs": [{"step": first.id, "sha256": sha256, "at": at}],
        "critical": [first.id],
        "order_works": True,
        "first_wrong": "",
        "result": "Went as it should.",
        "transcribed_by": "",
        "meaning": "I watched it.",
        "at": at,
    }
    written = canonical.written(record)
    words = {step.id: step.do for step in (first, second)}
    return ObservationShown(1110, 4, written, record, words, {sha256: _PHOTOGRAPH})


def earlier() -> EarlierPacket:
    """Return a record transcribed from a paper that a supervisor has held against it."""
    put_down = Signature(
        "Kit Larksome", "P-0007", datetime(2027, 3, 17, 9, 30, tzinfo=UTC), MEANING_TRANSCRIBED
    )
    checked = Signature(
        "Osbert Fallowmere", "P-0002", datetime(2027, 3, 18, 8, 41, tzinfo=UTC), MEANING_CHECKED
    )
    record = EarlierRecord(
        number="EQ-2027-0003",
        company=COMPANY,
        person="Dagny Hollowell",
        person_id="P-0107",
        task="T-31",
        task_title="Overhaul a pilot-loaded main valve",
        paper="Folder 7 sheet 12",
        issued_by="Marlpit Gas (invented)",
        evaluated_on=date(2025, 5, 1),
        methods=(Method.ORAL, Method.ON_THE_JOB),
        valid_from=date(2025, 5, 2),
        valid_until=date(2028, 5, 1),
        until_on_paper=date(2030, 5, 1),
        interval_months=36,
        evaluator="Old Hand",
        supervisor="Old Boss",
        transcribed=put_down,
    )
    return EarlierPacket(record, "signed, in date", checked, stands=True)


def person_data() -> PersonDataPacket:
    """Return everything kept about somebody with two tables, a record, a transcribed one and a photograph."""
    register = KeptTable(
        "register",
        "In the register",
        (("number", "Number"), ("roles", "Works as")),
        ({"number": "P-0107", "roles": ["technician", "mentor"], "evaluator": True},),
    )
    many = tuple({"number": n, "right": n % 2 == 0, "words": ["Which way?", "=1+1"]} for n in range(20))
    practice = KeptTable(
        "practice",
        "Answers in practice",
        (("number", "Number"), ("right", "Right"), ("words", "Told")),
        many,
        "As asked.",
    )
    return PersonDataPacket(
        company=COMPANY,
        person_id="P-0107",
        person="Dagny <Hollowell>",
        made_on=date(2028, 1, 3),
        issued_by="Silas Orme",
        tables=(register, practice, KeptTable("mails", "Told by mail", (("at", "At"),), ())),
        records=(record_packet(),),
        papers=(earlier(),),
        print_record=EXPORTS["qualification_record"].write,
        print_paper=EXPORTS["earlier_record"].write,
        photographs={hashlib.sha256(_PHOTOGRAPH).hexdigest(): _PHOTOGRAPH},
        entries=(),
        keys=(str(key().verifier),),
        key=key(),
    )


def _cover_head(number: str) -> CoverHead:
    return CoverHead(COMPANY, "Crew 2, south", number, "Hesper Nettlecombe", date(2027, 3, 18))


def forecast(tasks: int = 14, endings: int = 8, weeks: int = 13) -> ForecastPacket:
    """Return the forecast of a crew with so many tasks and endings."""
    on = date(2027, 3, 18)
    return ForecastPacket(
        head=_cover_head("FC-C2S-20270318"),
        weeks=weeks,
        already=("only 1 of the 2 needed may do T-03 Return to service",) if endings else (),
        falls=tuple(
            (
                on + timedelta(days=9 * n),
                f"nobody may do T-{n:02d} Strip down",
                f"Ivo Saltmarsh {n}, T-{n:02d}",
            )
            for n in range(1, endings // 2 + 1)
        ),
        tracks=tuple(
            TaskOverTime(
                f"T-{n + 1:02d} {_TASKS[n % 14][1]}",
                2,
                tuple((on + timedelta(days=30 * k), max(0, n % 4 - k)) for k in range(3)),
            )
            for n in range(tasks)
        ),
        endings=tuple(
            (on + timedelta(days=9 * n), f"{_CREW[n % 12][0]}", f"T-{n:02d} Strip down")
            for n in range(endings)
        ),
    )


def cover_sheet(tasks: int = 14, people: int = 12) -> CoverPacket:
    """Return the cover of a crew with so many tasks and people."""
    names = [f"{_CREW[n % 12][0]}" + (f" {n // 12}" if n >= 12 else "") for n in range(people)]
    return CoverPacket(
        head=_cover_head("CV-C2S-20270318"),
        tasks=tuple(
            (f"T-{n + 1:02d} {_TASKS[n % 14][1]}", 2, tuple(names[: (n * 5) % (people + 1)]))
            for n in range(tasks)
        ),
        short=("nobody may do T-01 Isolate and vent a run",) if tasks else (),
        hinges=tuple(
            (name, "only 1 of the 2 needed may do T-02 Throttle the bypass by hand") for name in names[:3]
        ),
    )


def plan_sheet(lines: int = 6) -> PlanPacket:
    """Return a plan of so many lines, some done and some assigned."""
    return PlanPacket(
        head=_cover_head("PL-7"),
        version=2,
        wanted="T-03, T-07: as many as the register asks for, also with any one person away",
        made_on=date(2027, 3, 1),
        for_day=date(2027, 5, 31),
        lines=tuple(
            PlannedLine(
                _CREW[n % 12][0],
                f"T-{n:02d} {_TASKS[n % 14][1]}",
                "refresher" if n % 2 else "new qualification",
                2 + n % 5,
                "Hanne Brack",
                date(2027, 4, 1) + timedelta(days=n % 50),
                done=n % 3 == 0,
                assigned=("Overhaul the main valve",) if n % 3 == 1 else (),
            )
            for n in range(lines)
        ),
        then_short=(),
    )
