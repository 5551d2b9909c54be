"""Invented packets for the tests of the sheets; no company, person, machine or value here exists."""

from __future__ import annotations

from datetime import UTC, date, datetime

from trainer.records.methods import Method
from trainer.records.qualification import (
    MEANING_EVALUATED,
    MEANING_SIGNED,
    QualificationRecord,
    Signature,
    SkillShown,
)

COMPANY = "Quillmarsh Gas Works (invented)"


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
        "document": "QGW-PR-0412",
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
    }
    return QualificationRecord(**{**values, **changes})  # type: ignore[arg-type]  # tests change any field
