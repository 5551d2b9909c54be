"""The people of every test, all invented: the owner, her colleague, the stranger, and one of each role."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.actions.permissions import Role


@dataclass(frozen=True)
class Someone:
    """A person before they are in a register; `id` is the number they get when added in the order of `EVERYBODY`."""

    id: str
    sign_in_name: str
    display_name: str
    roles: tuple[Role, ...]
    crew: str
    grade: str = ""
    evaluator: bool = False

    @property
    def password(self) -> str:
        """Their password, invented."""
        return f"bench vice of {self.sign_in_name}"


CREW = "Sedge Lane"
OTHER_CREW = "Tallow Quay"

AMA = Someone("P-0001", "ama", "Ama Fenwright", (Role.TECHNICIAN,), CREW, "II")
BEN = Someone("P-0002", "ben", "Ben Oakshott", (Role.TECHNICIAN,), CREW, "I")
CLEO = Someone("P-0003", "cleo", "Cleo Marlpit", (Role.TECHNICIAN,), OTHER_CREW, "II")
MIRA = Someone("P-0004", "mira", "Mira Tandleby", (Role.MENTOR,), CREW, "III", evaluator=True)
SOL = Someone("P-0005", "sol", "Sol Harrowgate", (Role.SUPERVISOR,), CREW)
INES = Someone("P-0006", "ines", "Ines Coldwater", (Role.INSPECTOR,), "")
KIT = Someone("P-0007", "kit", "Kit Larksome", (Role.KEEPER,), "")

EVERYBODY = (AMA, BEN, CLEO, MIRA, SOL, INES, KIT)
