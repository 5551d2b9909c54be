"""Signing by people who show again at their provider who they are (OpenID Connect Core 1.0, 3.1.2.1, 2, 3.1.3.7)."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import text

import trainer
from tests.people import AMA, KIT, SOL
from tests.web.scene import NOW
from trainer.actions import provider_sign_in
from trainer.actions.actor import SYSTEM
from trainer.store import events

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.web.invented_provider import Provider
    from tests.web.visitor import Sheet, Visitor
    from trainer.actions.opening import Database

    Visit = Callable[..., Visitor]

STORY = f"/people/{AMA.id}/task/T-41"
REASON = "Gas was let in;\r\nthe line-up was hers."
AT = int(NOW.timestamp())


@pytest.fixture
def linked(provider: Provider, db: Database) -> Provider:
    """The provider, with the supervisor linked to it, who signs in there anew whenever asked."""
    provider_sign_in.link(db, SYSTEM, SOL.id, provider.issuer, provider.subject, now=NOW)
    provider.changed = {"auth_time": AT}
    return provider


def _suspend(sol: Visitor, password: str = "") -> Sheet:
    sol.get(STORY)
    return sol.send(
        "form[action$=suspend]", cause="incident", from_day="2027-03-22", reason=REASON, password=password
    )


def _come_back(visitor: Visitor, provider: Provider) -> Sheet:
    """Follow the way to the provider, sign in there, and come back."""
    link = visitor.sheet.one(f"a[href^='{provider.issuer}']")
    return visitor.get(provider.let_in(str(link["href"])))


def _signed(db: Database) -> list[dict[str, Any]]:
    with db.reading() as unit:
        return [json.loads(e.payload) for e in events.since(unit) if e.action == "qualification:suspend"]


def test_the_form_is_signed_after_signing_in_once_more(visit: Visit, linked: Provider, db: Database) -> None:
    sol = visit(SOL)
    sheet = _suspend(sol)
    assert sheet.heading.endswith("Nothing is signed yet.")
    sheet.must_be_sound()
    assert _signed(db) == []
    sheet = _come_back(sol, linked)
    assert (linked.asked["prompt"], linked.asked["max_age"]) == ("login", "0")
    assert linked.exchanged["code_verifier"]
    assert sheet.heading == "You have signed in once more. Sign now what you filled in."
    sheet.must_be_sound()
    assert _signed(db) == []
    sheet = sol.send("form[action$=suspend]")
    assert sheet.path == STORY
    assert "Suspended from 2027-03-22" in sheet.text
    [told] = _signed(db)
    assert (told["means"], told["by_name"]) == ("provider", SOL.display_name)
    assert told["reason"].split() == REASON.split()


@pytest.mark.usefixtures("linked")
def test_a_password_still_signs_and_the_log_says_so(visit: Visit, db: Database) -> None:
    sol = visit(SOL)
    sol.get(STORY)
    assert "sign in once more at 127.0.0.1" in sol.sheet.words("form[action$=suspend]")
    assert _suspend(sol, SOL.password).path == STORY
    assert [told["means"] for told in _signed(db)] == ["password"]


@pytest.mark.usefixtures("provider")
def test_who_is_not_linked_needs_the_password(visit: Visit, db: Database) -> None:
    sol = visit(SOL)
    sol.get(STORY)
    assert sol.sheet.one("#suspend-password").has_attr("required")
    assert "password is not right" in _suspend(sol).said
    assert _signed(db) == []


@pytest.mark.parametrize("apart", [-30, -1, 60])
def test_clocks_that_differ_a_little_do_not_stop_a_signature(
    visit: Visit, linked: Provider, db: Database, apart: int
) -> None:
    linked.changed = {"auth_time": AT + apart}
    sol = visit(SOL)
    _suspend(sol)
    _come_back(sol, linked)
    sol.send("form[action$=suspend]")
    assert len(_signed(db)) == 1


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        # Half a minute behind and a minute ahead are the leeway that is given.
        ({"auth_time": AT - 31}, "you did not sign in there anew"),
        ({"auth_time": AT + 61}, "you did not sign in there anew"),
        ({"auth_time": None}, "does not say when you signed in"),
        ({"auth_time": str(AT)}, "not well formed"),
        ({"auth_time": True}, "does not say when you signed in"),
        ({"auth_time": AT, "sub": "u-another"}, "vouches for somebody else than you"),
        ({"auth_time": AT, "nonce": "another"}, "does not belong to this sign-in"),
        ({"auth_time": AT, "aud": "another"}, "issued for another program"),
        ({"auth_time": AT, "exp": AT - 61}, "out of date"),
    ],
)
def test_what_does_not_show_it_signs_nothing_and_nothing_is_lost(
    visit: Visit, linked: Provider, db: Database, changed: dict[str, Any], sentence: str
) -> None:
    linked.changed = changed
    sol = visit(SOL)
    _suspend(sol)
    sheet = _come_back(sol, linked)
    assert (sheet.status, sentence in sheet.said) == (401, True), sheet.said
    assert "Nothing was signed." in sheet.said
    with db.reading() as unit:
        assert [e.action for e in events.since(unit)][-1] == "account:provider_refused"
    # What was filled in is still there; it asks to sign in again.
    linked.changed = {"auth_time": AT}
    assert sol.send("form[action$=suspend]").heading.endswith("Nothing is signed yet.")
    _come_back(sol, linked)
    sol.send("form[action$=suspend]")
    assert len(_signed(db)) == 1


def test_somebody_linked_to_another_person_here_signs_for_nobody(
    visit: Visit, linked: Provider, db: Database
) -> None:
    provider_sign_in.link(db, SYSTEM, KIT.id, linked.issuer, "u-kit", now=NOW)
    sol = visit(SOL)
    _suspend(sol)
    linked.subject = "u-kit"
    assert "somebody else than you" in _come_back(sol, linked).said
    assert _signed(db) == []


def test_another_form_than_the_one_shown_is_not_signed(visit: Visit, linked: Provider, db: Database) -> None:
    for changed in ({"reason": "Something else."}, {"cause": "change"}, {"more": "than before"}):
        sol = visit(SOL)
        _suspend(sol)
        _come_back(sol, linked)
        sheet = sol.send("form[action$=suspend]", **changed)
        assert "the form was changed" in sheet.said, sheet.words()
    sol = visit(SOL)
    _suspend(sol)
    _come_back(sol, linked)
    ticket = str(sol.sheet.one("[name=again]")["value"])
    sheet = sol.post(f"{STORY}/withdraw", reason=REASON, again=ticket)
    assert "the form was changed" in sheet.said
    assert _signed(db) == []


def test_a_ticket_is_good_for_once_and_for_its_own_session(
    visit: Visit, linked: Provider, db: Database
) -> None:
    sol = visit(SOL)
    _suspend(sol)
    _come_back(sol, linked)
    ticket = str(sol.sheet.one("[name=again]")["value"])
    fields = {"signs": SOL.sign_in_name, "cause": "incident", "from_day": "2027-03-22", "reason": REASON}
    with db.reading() as unit:
        kept = unit.execute(text("SELECT ticket_hash, fields FROM signings_begun")).one()
    assert ticket not in str(tuple(kept))
    sol.send("form[action$=suspend]")
    assert len(_signed(db)) == 1
    with db.reading() as unit:
        assert unit.execute(text("SELECT count(*) FROM signings_begun")).scalar_one() == 0
    sol.get(STORY)
    assert sol.post(f"{STORY}/suspend", again=ticket, **fields).status == 422
    assert len(_signed(db)) == 1
    sol.get(STORY)
    withdrawn = sol.post(f"{STORY}/withdraw", reason="At her wish.", again=ticket)
    assert "have signed by it already" in withdrawn.said


@pytest.mark.parametrize(("column", "status"), [("at", 401), ("shown_at", 401)])
def test_what_waited_too_long_is_not_signed(
    visit: Visit, linked: Provider, db: Database, column: str, status: int
) -> None:
    sol = visit(SOL)
    _suspend(sol)
    old = "2027-03-01 00:00:00.000000"
    change = text(f"UPDATE signings_begun SET {column} = :old")  # noqa: S608  # names of ours
    if column == "shown_at":
        _come_back(sol, linked)
    with db.writing() as unit:
        unit.execute(change, {"old": old})
    sheet = sol.send("form[action$=suspend]") if column == "shown_at" else _come_back(sol, linked)
    assert (sheet.status, "it took too long" in sheet.said) == (status, True), sheet.words()
    assert _signed(db) == []


def test_what_comes_back_belongs_to_the_browser_that_began(
    visit: Visit, linked: Provider, db: Database
) -> None:
    sol = visit(SOL)
    _suspend(sol)
    way_back = linked.let_in(str(sol.sheet.one(f"a[href^='{linked.issuer}']")["href"]))
    assert "not belong to a sign-in begun here" in visit().get(way_back).said
    assert "not belong" in sol.get(way_back.replace("state=", "state=x")).text
    assert _signed(db) == []


def test_a_provider_that_does_not_answer_signs_nothing(visit: Visit, linked: Provider, db: Database) -> None:
    linked.redirects = True
    sheet = _suspend(visit(SOL))
    assert (sheet.status, "it answers with 302" in sheet.text) == (502, True)
    assert _signed(db) == []


def test_who_has_only_a_password_that_somebody_gave_signs_at_the_provider_alone(
    visit: Visit, linked: Provider, db: Database
) -> None:
    with db.writing() as unit:
        unit.execute(text("UPDATE people SET first_password = 1 WHERE id = :id"), {"id": SOL.id})
    assert visit(SOL).get(STORY).path == "/account"
    sol = visit()
    sol.get(linked.let_in(str(sol.client.get("/sign-in/provider").headers["Location"]).replace("#", "")))
    sol.get(STORY)
    assert sol.sheet.soup.select("#suspend-password") == []
    assert "somebody else gave you this password" in _suspend(sol, SOL.password).said.lower()
    _suspend(sol)
    _come_back(sol, linked)
    sol.send("form[action$=suspend]")
    assert [told["means"] for told in _signed(db)] == ["provider"]


def test_the_numbers_of_the_programme_are_set_so_too(visit: Visit, provider: Provider, db: Database) -> None:
    provider_sign_in.link(db, SYSTEM, KIT.id, provider.issuer, provider.subject, now=NOW)
    provider.changed = {"auth_time": AT}
    kit = visit(KIT)
    kit.get("/policy")
    kit.send(
        "form[action='/policy']",
        **{"number.critical_false_pass": "0.02", "because": "Stricter from today."},
    )
    _come_back(kit, provider)
    kit.send("main form:has([name=again])")
    with db.reading() as unit:
        told = [json.loads(e.payload) for e in events.since(unit) if e.action == "policy:set"]
    assert told[-1]["means"] == "provider"


def test_every_signature_passes_the_one_place() -> None:
    """No form and no action has a way of its own to ask for a password as signature."""
    home = Path(trainer.__file__).parent
    asks = [
        path.name
        for path in (home / "web").rglob("*.html")
        if "as signature" in path.read_text(encoding="utf-8")
    ]
    assert asks == ["forms.html"]
    checks = sorted(
        path.name
        for path in (home / "actions").glob("*.py")
        if "check_password(" in path.read_text(encoding="utf-8")
    )
    assert checks == ["accounts.py"]
