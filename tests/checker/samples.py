"""What the tests of the checker rely on: invented shared tables, and the findings of a short text."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.check import check_text
from trainer.checker.manual import complete
from trainer.procedure.model import Caution, Hazard
from trainer.procedure.shared_tables import SharedTables
from trainer.records.qualification import CoveredTask

if TYPE_CHECKING:
    from trainer.procedure.findings import Finding

SHARED = SharedTables(
    tasks={"T-31": CoveredTask("T-31", "Overhaul a main valve", 36, "Invented.", ("gas alarm",))},
    tools={"torque_wrench": "Torque wrench"},
    cautions={"gas_under_pressure": Caution("gas_under_pressure", Hazard.DANGER, "Gas is under pressure.")},
)


def findings(text: str) -> tuple[Finding, ...]:
    """Return all findings on a text that may leave out what the manual's examples leave out."""
    return check_text(complete(text), "valve.yaml", SHARED)[1]


def told(text: str) -> list[tuple[str, str]]:
    """Return code and sentence of each finding."""
    return [(finding.code, finding.what) for finding in findings(text)]
