"""Signing in at a provider (OpenID Connect Core 1.0, 3.1.3.7; RFC 7636; RFC 9207), against an invented one."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest

from tests.people import AMA, BEN, KIT
from tests.web import invented_provider
from tests.web.invented_provider import CLIENT, HOME
from tests.web.scene import NOW
from trainer.actions import people, provider_sign_in
from trainer.actions.actor import SYSTEM, NotAllowed, NotFound
from trainer.store import events

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.web.invented_provider import Provider
    from tests.web.visitor import Sheet, Visitor
    from trainer.actions.opening import Database

    Visit = Callable[..., Visitor]


@pytest.fixture
def linked(provider: Provider, db: Database) -> Provider:
    provider_sign_in.link(db, SYSTEM, AMA.id, provider.issuer, provider.subject, now=NOW)
    return provider


def gone(visitor: Visitor, back: str = "") -> str:
    """Press the link on the page and return where it leads."""
    assert visitor.sheet.one("a[href^='/sign-in/provider']")
    answer = visitor.client.get("/sign-in/provider", query_string={"back": back})
    assert answer.status_code == 303, answer.get_data(as_text=True)
    return str(answer.headers["Location"])


def come_back(visitor: Visitor, provider: Provider, back: str = "") -> Sheet:
    return visitor.get(provider.let_in(gone(visitor, back)))


def test_a_linked_person_is_signed_in_and_goes_where_they_wanted(
    visit: Visit, linked: Provider, db: Database
) -> None:
    visitor = visit()
    with visitor.client.session_transaction() as session:
        session["left"] = "over"
    assert come_back(visitor, linked, "/record").path == "/record"
    assert visitor.get("/account").words().count(AMA.id) == 1
    with visitor.client.session_transaction() as session:
        assert set(session) <= {"token", "csrf_token", "_permanent"}
    assert linked.exchanged["redirect_uri"] == f"{HOME}/sign-in/provider/back"
    assert linked.authorization.startswith("Basic ")
    with db.reading() as unit:
        last = [e for e in events.since(unit) if e.action == "account:sign_in"][-1]
    assert (last.person_id, json.loads(last.payload)["provider"]) == (AMA.id, linked.issuer)


def test_a_path_that_leaves_this_host_is_not_followed(visit: Visit, linked: Provider) -> None:
    assert come_back(visit(), linked, "//elsewhere.invalid/").path == "/sheet"


def test_who_is_not_linked_is_told_the_name_and_stays_out(
    visit: Visit, provider: Provider, db: Database
) -> None:
    visitor = visit()
    sheet = come_back(visitor, provider)
    assert sheet.status == 401
    sheet.must_be_sound()
    assert "knows you as 'u-4711', and nobody here is linked to that" in sheet.said
    assert visitor.get("/sheet").path == "/sign-in"
    with db.reading() as unit:
        assert [e.action for e in events.since(unit)][-1] == "account:sign_in_refused"


def test_a_mail_address_links_nobody(visit: Visit, linked: Provider) -> None:
    linked.subject = "somebody else"
    linked.changed = {"email": "ama@invented.invalid", "email_verified": True}
    assert come_back(visit(), linked).status == 401


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"iss": "https://elsewhere.invalid"}, "issued by somebody else"),
        ({"aud": "another"}, "issued for another program"),
        ({"aud": [CLIENT, "another"], "azp": "another"}, "issued to another program"),
        ({"aud": [CLIENT, "another"]}, "issued to another program"),
        ({"exp": int(NOW.timestamp()) - 61}, "out of date"),
        ({"exp": None}, "out of date"),
        ({"iat": int(NOW.timestamp()) + 3600}, "in the future"),
        ({"iat": None}, "time of issue is missing"),
        ({"nbf": int(NOW.timestamp()) + 3600}, "not valid yet"),
        ({"nonce": "another"}, "does not belong to this sign-in"),
        ({"nonce": None}, "does not belong to this sign-in"),
        ({"sub": None}, "names nobody"),
        ({"sub": ""}, "names nobody"),
        ({"sub": 4711}, "names nobody"),
        ({"sub": "x" * 256}, "names nobody"),
        ({"at_hash": "another"}, "belongs to another access"),
    ],
)
def test_a_token_that_does_not_stand_is_refused_in_one_sentence(
    visit: Visit, linked: Provider, changed: dict[str, Any], sentence: str
) -> None:
    linked.changed = changed
    visitor = visit()
    sheet = come_back(visitor, linked)
    assert (sheet.status, sentence in sheet.said) == (401, True), sheet.said
    assert visitor.get("/sheet").path == "/sign-in"


@pytest.mark.parametrize("alg", ["none", "HS256", "RS512"])
def test_a_token_signed_in_no_accepted_way_is_refused(visit: Visit, linked: Provider, alg: str) -> None:
    linked.alg = alg
    assert "no key of the provider has signed it" in come_back(visit(), linked).said


def test_a_token_of_another_key_is_refused(visit: Visit, linked: Provider) -> None:
    linked.signs_with = invented_provider.new_key()
    assert "no key of the provider has signed it" in come_back(visit(), linked).said


def test_what_comes_back_is_taken_once_and_only_in_the_browser_that_began(
    visit: Visit, linked: Provider
) -> None:
    visitor = visit()
    way_back = linked.let_in(gone(visitor))
    assert "not belong to a sign-in begun here" in visit().get(way_back).said
    assert "not belong to a sign-in begun here" in visitor.get(way_back.replace("state=", "state=x")).said
    # The first answer used up what was begun, right or wrong.
    assert "not belong to a sign-in begun here" in visitor.get(way_back).said
    visitor.get("/sign-in")
    assert "let you in" in visitor.get(linked.let_in(gone(visitor)).replace("code=once", "error=no")).said
    visitor.get("/sign-in")
    assert "code was not accepted" in visitor.get(linked.let_in(gone(visitor)).replace("once", "two")).said
    visitor.get("/sign-in")
    elsewhere = linked.let_in(gone(visitor)) + "&iss=https://elsewhere.invalid"
    assert "comes from somebody else" in visitor.get(elsewhere).said


def test_another_verifier_than_the_begun_one_gets_no_token(visit: Visit, linked: Provider) -> None:
    visitor = visit()
    way_back = linked.let_in(gone(visitor))
    with visitor.client.session_transaction() as session:
        session["begun"] = {**session["begun"], "verifier": "stolen"}
    assert "code was not accepted" in visitor.get(way_back).said


def test_a_sign_in_begun_long_ago_is_over(visit: Visit, linked: Provider) -> None:
    visitor = visit()
    way_back = linked.let_in(gone(visitor))
    with visitor.client.session_transaction() as session:
        session["begun"] = {**session["begun"], "at": (NOW - timedelta(minutes=11)).isoformat()}
    assert "took too long" in visitor.get(way_back).said


@pytest.mark.parametrize(
    "told",
    [
        {"issuer": "https://elsewhere.invalid"},
        {"authorization_endpoint": "http://elsewhere.invalid/"},
        {"authorization_endpoint": None},
    ],
)
def test_a_provider_that_is_not_itself_is_not_used(
    visit: Visit, linked: Provider, told: dict[str, Any]
) -> None:
    linked.told = told
    sheet = visit().get("/sign-in/provider")
    assert sheet.status == 502
    assert "Sign in with your password." in sheet.said


def test_no_redirect_of_the_provider_is_followed(visit: Visit, linked: Provider) -> None:
    linked.redirects = True
    assert "it answers with 302" in visit().get("/sign-in/provider").said


def test_failures_from_one_address_are_slowed_down(visit: Visit, linked: Provider) -> None:
    linked.changed = {"nonce": "another"}
    visitor = visit()
    for _ in range(30):
        visitor.get("/sign-in")
        come_back(visitor, linked)
    visitor.get("/sign-in")
    linked.changed = {}
    assert come_back(visitor, linked).status == 429


def test_who_has_left_stays_out(visit: Visit, linked: Provider, db: Database) -> None:
    people.retire(db, SYSTEM, AMA.id, now=NOW)
    assert come_back(visit(), linked).status == 401


def test_without_a_provider_there_is_no_way_there(visit: Visit) -> None:
    visitor = visit()
    assert visitor.sheet.soup.select("a[href^='/sign-in/provider']") == []
    assert visitor.get("/sign-in/provider").status == 404
    assert visitor.get("/sign-in/provider/back?code=a&state=b").status == 404
    assert visit(KIT).get("/register/" + AMA.id).soup.select("form[action$='/link']") == []


def test_the_keeper_links_and_unlinks(visit: Visit, provider: Provider, db: Database) -> None:
    keeper = visit(KIT)
    keeper.get("/register/" + AMA.id).must_be_sound()
    sheet = keeper.send("form[action$='/link']", subject=" u-4711 ")
    sheet.must_be_sound()
    assert "Signs in as u-4711" in sheet.words()
    keeper.get("/register/" + BEN.id)
    assert "'u-4711' is linked already" in keeper.send("form[action$='/link']", subject="u-4711").said
    assert "1 to 255 characters" in keeper.send("form[action$='/link']", subject=" ").said
    ama = visit()
    assert come_back(ama, provider).path == "/sheet"
    keeper.get("/register/" + AMA.id)
    assert "Unlinked" in keeper.send("form[action$='/unlink']").words()
    assert ama.get("/sheet").path == "/sign-in"
    assert come_back(ama, provider).status == 401
    with db.reading() as unit:
        logged = [e.action for e in events.since(unit) if "link" in e.action]
    assert logged == ["people:link", "people:unlink"]


def test_only_the_keeper_links(db: Database, visit: Visit, provider: Provider) -> None:
    assert visit(AMA).post(f"/register/{AMA.id}/link", subject="u-1").status == 403
    actor = replace(SYSTEM, person_id=AMA.id, roles=frozenset(AMA.roles))
    with pytest.raises(NotAllowed):
        provider_sign_in.link(db, actor, AMA.id, provider.issuer, "u-1", now=NOW)
    with pytest.raises(NotFound):
        provider_sign_in.unlink(db, SYSTEM, AMA.id, provider.issuer, now=NOW)
    people.retire(db, SYSTEM, BEN.id, now=NOW)
    with pytest.raises(NotFound):
        provider_sign_in.link(db, SYSTEM, BEN.id, provider.issuer, "u-1", now=NOW)
