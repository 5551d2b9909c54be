"""Sign in, sign out, change the password, and the way to the sheet a person starts from."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, Response, flash, redirect, request, url_for

from trainer.actions import accounts, addresses, calendar, printing
from trainer.actions.permissions import Permission
from trainer.errors import TrainerError
from trainer.exports.calendar_feed import MEDIA_TYPE
from trainer.web.account.carried import from_text
from trainer.web.account.pages import account_page, carry_page, sign_in_page
from trainer.web.context import actor, db, drop_token, keep_token, now, provider_name, site, someone, token
from trainer.web.errors import status_of
from trainer.web.guard import needs, open_to_all
from trainer.web.pages import show
from trainer.web.sending import as_file
from trainer.web.ways import start_of

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as AnyResponse

    from trainer.actions.actor import Actor
    from trainer.web.account.pages import AccountPage

room = Blueprint("account", __name__)


@room.get("/")
@needs(Permission.ACCOUNT_OWN)
def start() -> AnyResponse:
    """Go to the sheet this person starts from."""
    return redirect(start_of(actor()), 303)


@room.get("/sign-in")
@open_to_all("nobody is signed in before this")
def sign_in() -> AnyResponse:
    """Show the form."""
    if someone() is not None:
        return redirect(url_for("account.start"), 303)
    return show(sign_in_page(back=request.args.get("back", ""), provider=provider_name()))


@room.post("/sign-in")
@open_to_all("nobody is signed in before this")
def sign_in_now() -> AnyResponse:
    """Sign in and go on to where the person wanted to be."""
    name, back = request.form.get("name", ""), request.form.get("back", "")
    kept = from_text(back, request.form.get("carried", ""))
    try:
        entered = accounts.sign_in(
            db(), name, request.form.get("password", ""), address=request.remote_addr or "", now=now()
        )
    except TrainerError as refused:
        return show(
            sign_in_page(
                sign_in_name=name, back=back, carried=kept, says=str(refused), provider=provider_name()
            ),
            status_of(refused),
        )
    keep_token(entered.token)
    if not is_ours(back):
        return redirect(url_for("account.start"), 303)
    return show(carry_page(kept)) if kept.fields else redirect(back, 303)


@room.post("/sign-out")
@needs(Permission.ACCOUNT_OWN)
def sign_out() -> AnyResponse:
    """End the session on the server and empty the cookie."""
    accounts.sign_out(db(), token(), now=now())
    drop_token()
    return redirect(url_for("account.sign_in"), 303)


@room.get("/account")
@needs(Permission.ACCOUNT_OWN)
def own() -> AnyResponse:
    """Show the account."""
    return show(_account(actor()))


@room.post("/account")
@needs(Permission.ACCOUNT_OWN)
def change_password() -> AnyResponse:
    """Change the password; every other session of this person ends."""
    who = actor()
    try:
        fresh = accounts.change_password(
            db(), who, request.form.get("old", ""), request.form.get("new", ""), now=now()
        )
    except TrainerError as refused:
        return show(_account(who, says=str(refused)), status_of(refused))
    keep_token(fresh)
    flash("The new password is in force.")
    return redirect(url_for("account.start" if who.first_password else "account.own"), 303)


def _account(who: Actor, *, says: str = "", calendar_address: str = "") -> AccountPage:
    since = calendar.address_since(db(), who)
    mail = addresses.own(db(), who)
    return account_page(
        who,
        says=says,
        calendar_since=since,
        calendar_address=calendar_address,
        mail_address=mail.address if mail else "",
        reminders_wanted=mail is None or not mail.paused,
    )


@room.post("/account/everything")
@needs(Permission.ACCOUNT_OWN)
def everything() -> AnyResponse:
    """Send everything that is kept about the person; the log keeps that it was fetched."""
    return _everything(actor().person_id)


@room.post("/people/<person_id>/everything")
@needs(Permission.DATA_READ)
def everything_about(person_id: str) -> AnyResponse:
    """Send everything that is kept about somebody on their request; the log keeps who fetched it."""
    return _everything(person_id)


def _everything(person_id: str) -> Response:
    paper = site().settings.paper
    return as_file(printing.print_sheet(db(), actor(), "person_data", person_id, paper=paper, now=now()))


@room.post("/account/reminders")
@needs(Permission.ACCOUNT_OWN)
def want_reminders() -> AnyResponse:
    """Switch one's own reminders on or off."""
    wanted = request.form.get("want") == "yes"
    addresses.want(db(), actor(), reminders=wanted, now=now())
    flash("Reminders are on." if wanted else "Reminders are off.")
    return redirect(url_for("account.own"), 303)


@room.post("/account/calendar")
@needs(Permission.ACCOUNT_OWN)
def make_calendar() -> AnyResponse:
    """Make a secret address for the calendar; it is shown this once, as only its hash is kept."""
    who = actor()
    made = calendar.make_address(db(), who, now=now())
    home = site().settings.home_page.rstrip("/")
    path = url_for("account.calendar_feed", token=made, _external=not home)
    return show(_account(who, calendar_address=f"{home}{path}"))


@room.post("/account/calendar/end")
@needs(Permission.ACCOUNT_OWN)
def end_calendar() -> AnyResponse:
    """End the secret address."""
    calendar.end_address(db(), actor(), now=now())
    flash("The address of the calendar has ended. Programs that read it find nothing there any more.")
    return redirect(url_for("account.own"), 303)


@room.get("/calendar/<token>.ics")
@open_to_all("calendar programs have no session; whoever has the secret address reads what its owner may see")
def calendar_feed(token: str) -> AnyResponse:
    """Send the calendar of a secret address."""
    answer = Response(calendar.feed(db(), token, now=now()), content_type=MEDIA_TYPE)
    answer.headers.set("Content-Disposition", "inline", filename="qualifications.ics")
    answer.headers["Referrer-Policy"] = "no-referrer"
    return answer


def is_ours(path: str) -> bool:
    """Return whether a path stays on this host: one slash first, and nothing a browser reads as another host."""
    return (
        path.startswith("/") and not path.startswith(("//", "/\\")) and "\n" not in path and "\r" not in path
    )
