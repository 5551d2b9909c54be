"""The people of the demonstration. Every name, crew and password here is invented."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.actions.permissions import Role

CREW = "Kiln Bridge"
OTHER_CREW = "Weir Street"


@dataclass(frozen=True)
class Someone:
    """A person of the demonstration; `to_see` says what their pages show."""

    sign_in_name: str
    name: str
    roles: tuple[Role, ...]
    crew: str
    grade: str = ""
    evaluator: bool = False
    to_see: str = ""

    @property
    def password(self) -> str:
        """Return an invented password that is known to everybody, so it is good for nothing else."""
        return f"{self.sign_in_name} has no secrets"

    @property
    def role(self) -> str:
        """Return the first role in words."""
        return self.roles[0].words


_TECHNICIAN = (Role.TECHNICIAN,)
_MENTOR = (Role.MENTOR,)

BEA = Someone(
    "bea", "Rushford, Bea", (Role.KEEPER,), "", to_see="the register of people, the published modules"
)
RUTH = Someone(
    "ruth", "Penhallow, Ruth", (Role.SUPERVISOR,), "", to_see="the crew sheet, and who waits for a signature"
)
SILAS = Someone(
    "silas", "Quennell, Silas", (Role.INSPECTOR,), "", to_see="every record, and what stands behind it"
)
HANNE = Someone(
    "hanne",
    "Larkrise, Hanne",
    _MENTOR,
    CREW,
    "III",
    evaluator=True,
    to_see="the crew's practice and where it goes wrong",
)
OREN = Someone("oren", "Marchbank, Oren", _MENTOR, CREW, "III", evaluator=True)

WILF = Someone("wilf", "Ashbourne, Wilf", _TECHNICIAN, CREW, "III", to_see="qualified, everything in date")
NORA = Someone("nora", "Birchall, Nora", _TECHNICIAN, CREW, "III", to_see="a qualification that ends soon")
DEV = Someone("dev", "Crowhurst, Dev", _TECHNICIAN, CREW, "II", to_see="a qualification that has lapsed")
ETTA = Someone("etta", "Dunmore, Etta", _TECHNICIAN, CREW, "II", to_see="ready, waits for the signature")
JOSS = Someone(
    "joss", "Eastwick, Joss", _TECHNICIAN, CREW, "II", to_see="evaluated, and in the middle of a sitting"
)
MOLL = Someone("moll", "Fairlie, Moll", _TECHNICIAN, CREW, "I", to_see="new, with everything still to do")
TAM = Someone(
    "tam",
    "Garrow, Tam",
    _TECHNICIAN,
    CREW,
    "I",
    to_see="wrong answers in practice, and a sitting that found him not ready",
)
LENA = Someone("lena", "Hartsop, Lena", _TECHNICIAN, CREW, "I")
COL = Someone(
    "col", "Ingham, Col", _TECHNICIAN, CREW, "II", to_see="suspended for one task until evaluated again"
)
BRAM = Someone("bram", "Kettlewell, Bram", _TECHNICIAN, CREW, "II")

ADA = Someone("ada", "Nethercott, Ada", _MENTOR, OTHER_CREW, "III", evaluator=True)
PIERS = Someone("piers", "Oakengate, Piers", _TECHNICIAN, OTHER_CREW, "II")
WREN = Someone("wren", "Pellow, Wren", _TECHNICIAN, OTHER_CREW, "I")

# In the order in which they came; the newcomer is the last thing made, so her being there says that all is.
FOUNDERS = (BEA, RUTH, SILAS, HANNE, OREN, WILF, NORA, DEV, ETTA, JOSS, COL, BRAM, ADA, PIERS)
LATER = ((TAM, 150), (LENA, 120), (WREN, 60))
NEWCOMER = MOLL

EVERYBODY = (*FOUNDERS, *(someone for someone, _ in LATER), NEWCOMER)

# Whose pages are worth a look, in the order of a qualification's life, then who looks after it.
WORTH_SEEING = (MOLL, TAM, JOSS, ETTA, WILF, NORA, DEV, COL, HANNE, RUTH, SILAS, BEA)
