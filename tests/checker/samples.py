"""The shared tables that the examples and tests of the checker rely on; invented."""

from __future__ import annotations

from trainer.procedure.model import Caution, Hazard
from trainer.procedure.shared_tables import SharedTables
from trainer.records.qualification import CoveredTask

SHARED = SharedTables(
    tasks={"T-31": CoveredTask("T-31", "Overhaul a main valve", 36, "Invented.", ("gas alarm",))},
    tools={"torque_wrench": "Torque wrench"},
    cautions={"gas_under_pressure": Caution("gas_under_pressure", Hazard.DANGER, "Gas is under pressure.")},
)
