"""The pages of an account."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from trainer.web.account.carried import Carried
from trainer.web.pages import Page, TitleBlock

if TYPE_CHECKING:
    from datetime import datetime

    from trainer.actions.actor import Actor


@dataclass(frozen=True)
class SignInPage(Page):
    """The form to sign in; `back` is where to go afterwards, `carried` what was not sent before.

    `provider` is the host of the provider where people may sign in as well, "" for none.
    """

    TEMPLATE: ClassVar[str] = "account/sign_in.html"
    sign_in_name: str
    back: str
    carried: Carried
    says: str
    provider: str


@dataclass(frozen=True)
class CarryPage(Page):
    """What was filled in before the session was over, to be sent by a press of the button."""

    TEMPLATE: ClassVar[str] = "account/carry.html"
    carried: Carried


@dataclass(frozen=True)
class AccountPage(Page):
    """Who is signed in, the form to change the password, and the address of the calendar.

    `calendar_address` is filled in once, right after it was made.
    """

    TEMPLATE: ClassVar[str] = "account/own.html"
    person_id: str
    sign_in_name: str
    roles: tuple[str, ...]
    crew: str
    first: bool
    says: str
    calendar_since: datetime | None
    calendar_address: str
    mail_address: str
    reminders_wanted: bool


def sign_in_page(
    *,
    sign_in_name: str = "",
    back: str = "",
    carried: Carried | None = None,
    says: str = "",
    provider: str = "",
) -> SignInPage:
    """Return the page to sign in."""
    block = TitleBlock(title="Sign in", kind="Entry")
    return SignInPage(block, sign_in_name, back, carried or Carried(), says, provider)


@dataclass(frozen=True)
class AgainPage(Page):
    """The way to the provider for a signature: `address` leads there."""

    TEMPLATE: ClassVar[str] = "account/again.html"
    provider: str
    address: str


@dataclass(frozen=True)
class SignNowPage(Page):
    """A form that waits for its signature, after its sender came back; `ticket` is "" when they have to go again."""

    TEMPLATE: ClassVar[str] = "account/sign_now.html"
    heading: str
    button: str
    carried: Carried
    ticket: str
    says: str


def again_page(provider: str, address: str) -> AgainPage:
    """Return the page that leads to the provider."""
    return AgainPage(TitleBlock(title="Not signed yet", kind="Sign-off"), provider, address)


def sign_now_page(carried: Carried, *, ticket: str = "", says: str = "") -> SignNowPage:
    """Return the page of a form that waits: to be signed with a ticket, to be tried again without."""
    if ticket:
        heading, button = "You have signed in once more. Sign now what you filled in.", "Sign now"
    else:
        heading, button = "Not signed yet. What you filled in is kept.", "Try again"
    block = TitleBlock(title="Not signed yet", kind="Sign-off")
    return SignNowPage(block, heading, button, carried, ticket, says)


def carry_page(carried: Carried) -> CarryPage:
    """Return the page that holds what was not sent."""
    return CarryPage(TitleBlock(title="Not sent yet", kind="Note"), carried)


def account_page(
    actor: Actor,
    *,
    says: str = "",
    calendar_since: datetime | None = None,
    calendar_address: str = "",
    mail_address: str = "",
    reminders_wanted: bool = True,
) -> AccountPage:
    """Return the page of a person's own account."""
    return AccountPage(
        block=TitleBlock(title="My account", kind="Personal sheet", whose=("For", actor.display_name)),
        person_id=actor.person_id,
        sign_in_name=actor.name,
        roles=tuple(role.words for role in sorted(actor.roles)),
        crew=actor.crew,
        first=actor.first_password,
        says=says,
        calendar_since=calendar_since,
        calendar_address=calendar_address,
        mail_address=mail_address,
        reminders_wanted=reminders_wanted,
    )
