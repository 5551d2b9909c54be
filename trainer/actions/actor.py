"""Who is acting: the person signed in, what they may do, and for whom."""

from __future__ import annotations

from dataclasses import dataclass, field

from trainer.actions.permissions import Permission, Role, allowed, sees_every_crew
from trainer.errors import TrainerError


class NotAllowed(TrainerError):
    """The actor may not do this."""

    def __init__(self, permission: Permission, why: str = "") -> None:
        self.permission = permission
        super().__init__(why or f"You are not allowed to do this ({permission}).")


class NotFound(TrainerError):
    """The thing does not exist, or is not for this actor to see; the two are not told apart."""

    def __init__(self, what: str, which: object) -> None:
        super().__init__(f"There is no {what} '{which}' here for you.")


@dataclass(frozen=True)
class Sent:
    """What a form holds that a person sends: its hash, and the ticket of having shown again who they are ("" without)."""

    digest: str
    ticket: str = field(default="", repr=False)


@dataclass(frozen=True)
class Actor:
    """A person signed in through a session; the command line on the host has neither number nor session.

    Whoever signed in with a password that somebody else gave them may choose another one and nothing else.
    `given_password`: the password here is such a one, however they signed in. `signs_at` is the provider at which they may
    show again who they are, "" without; `means` says how they did, once they have: `password` or `provider`.
    """

    person_id: str
    name: str
    display_name: str
    roles: frozenset[Role]
    crew: str = ""
    session: int | None = None
    first_password: bool = False
    given_password: bool = False
    signs_at: str = ""
    sent: Sent | None = None
    means: str = ""

    @property
    def is_system(self) -> bool:
        """The command line on the host itself."""
        return not self.person_id

    def may(self, permission: Permission) -> bool:
        """Return whether the actor has the permission at all; on whom is a further question."""
        if self.is_system:
            return permission not in _ONLY_A_PERSON
        if self.first_password and permission is not Permission.ACCOUNT_OWN:
            return False
        return allowed(self.roles, permission)

    def must(self, permission: Permission) -> None:
        """Let pass who has the permission.

        Raises:
            NotAllowed: the actor has not.
        """
        if not self.may(permission):
            raise NotAllowed(permission)

    def may_for(self, permission: Permission, *, crew: str) -> bool:
        """Return whether the actor has the permission on somebody of this crew."""
        return self.sees_every_crew(permission) or (bool(crew) and crew == self.crew and self.may(permission))

    def sees_every_crew(self, permission: Permission) -> bool:
        """Return whether the actor has the permission on people of any crew."""
        return self.may(permission) and (self.is_system or sees_every_crew(self.roles, permission))


# A signature and what is done for oneself need a person; whoever has the host has no name to sign with.
_ONLY_A_PERSON = frozenset(
    {
        Permission.ACCOUNT_OWN,
        Permission.EVALUATION_RECORD,
        Permission.KEEPING_DECIDE,
        Permission.KEEPING_PROPOSE,
        Permission.OBSERVATION_RECORD,
        Permission.POLICY_SET,
        Permission.PRACTICE_DO,
        Permission.QUALIFICATION_SIGN,
        Permission.QUALIFICATION_SUSPEND,
        Permission.RECORD_OWN,
        Permission.SHEET_OWN,
        Permission.SITTING_RELEASE,
        Permission.SITTING_TAKE,
        Permission.TASK_SET,
    }
)

SYSTEM = Actor(person_id="", name="", display_name="Command line on the host", roles=frozenset())
