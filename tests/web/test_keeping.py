"""The end of keeping as pages: who sees and decides it, and that what was typed stays."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from tests.people import AMA, BEN, INES, KIT, MIRA, SOL
from tests.web import scene
from trainer.actions import life
from trainer.actions import people as register
from trainer.actions.actor import SYSTEM

if TYPE_CHECKING:
    from collections.abc import Callable

    from flask import Flask

    from tests.people import Someone
    from tests.web.visitor import Visitor
    from trainer.actions.opening import Database

    Visit = Callable[..., Visitor]

AHEAD = scene.NOW.replace(year=scene.NOW.year + 5)
SHEET = f"/keeping/{BEN.id}/T-31"
REASON = "Five years are over."


@pytest.fixture
def later(app: Flask, db: Database) -> None:
    """Ben left; five years have gone by."""
    register.retire(db, SYSTEM, BEN.id, now=scene.NOW)
    app.extensions["trainer"] = replace(app.extensions["trainer"], clock=lambda: AHEAD)


def _enter(visit: Visit, who: Someone) -> Visitor:
    """Sign in with the password: nobody's session lasts five years."""
    visitor = visit()
    visitor.send("main form", name=who.sign_in_name, password=who.password)
    return visitor


def _decide(visitor: Visitor, word: str, who: Someone, **changed: str) -> None:
    visitor.get(SHEET)
    visitor.send(f"form[action$={word}]", **({"reason": REASON, "password": who.password} | changed))


@pytest.mark.usefixtures("later")
def test_one_proposes_and_another_destroys(visit: Visit) -> None:
    sol, kit = _enter(visit, SOL), _enter(visit, KIT)
    listed = sol.get("/keeping")
    assert BEN.display_name in listed.words()
    assert "may be destroyed" in listed.words()
    _decide(sol, "propose", SOL)
    assert "Proposed." in sol.sheet.words()
    assert "another person confirms it" in sol.get(SHEET).words()
    _decide(kit, "confirm", KIT)
    assert "Kept no longer" in kit.sheet.words()
    assert REASON in kit.sheet.words()
    assert "proposed by" not in kit.get("/keeping").words()
    assert BEN.display_name not in kit.get("/keeping").words()


@pytest.mark.usefixtures("later")
def test_what_was_typed_stays_when_it_is_refused(visit: Visit) -> None:
    sol = _enter(visit, SOL)
    _decide(sol, "propose", SOL, password="wrong")
    assert sol.sheet.status == 401
    assert REASON in sol.sheet.text
    _decide(sol, "hold", SOL, reason="  ")
    assert sol.sheet.status == 422
    assert "Write down the reason." in sol.sheet.words()


@pytest.mark.usefixtures("later")
def test_a_hold_stops_it_until_it_is_ended(visit: Visit) -> None:
    sol, kit = _enter(visit, SOL), _enter(visit, KIT)
    _decide(sol, "propose", SOL)
    _decide(kit, "hold", KIT, reason="A dispute about <b>his</b> pay.")
    assert "It is held: A dispute about <b>his</b> pay." in kit.sheet.words()
    assert not kit.get(SHEET).soup.select("form[action$=confirm]")
    _decide(sol, "lift", SOL)
    assert "The hold has ended." in sol.sheet.words()
    assert sol.get(SHEET).soup.select("form[action$=propose]")


def test_before_the_day_the_page_says_until_when(visit: Visit, db: Database) -> None:
    actor = scene.enter(db, SOL)
    reason = "Moved to the office."
    life.stop(db, actor, AMA.id, "T-41", reason=reason, password=SOL.password, now=scene.NOW)
    sheet = visit(SOL).get(f"/keeping/{AMA.id}/T-41")
    assert "It is kept until 2032-03-22 at least" in sheet.words()
    assert not sheet.soup.select("form[action$=confirm]")
    assert "Nothing may be destroyed today." in visit(SOL).get("/keeping").words()


@pytest.mark.usefixtures("later")
@pytest.mark.parametrize(("who", "forms"), [(SOL, {"propose", "hold"}), (KIT, {"hold"}), (INES, set[str]())])
def test_each_role_is_offered_what_it_may_decide(visit: Visit, who: Someone, forms: set[str]) -> None:
    sheet = _enter(visit, who).get(SHEET)
    found = {str(form["action"]).rpartition("/")[2] for form in sheet.soup.select("main form")}
    assert found == forms


@pytest.mark.parametrize(("who", "path"), [(SOL, "/qualified"), (KIT, "/register")])
def test_the_way_leads_there(visit: Visit, who: Someone, path: str) -> None:
    assert visit(who).get(path).soup.select('main a[href="/keeping"]')


@pytest.mark.parametrize("who", [AMA, MIRA])
def test_others_do_not_see_it(visit: Visit, who: Someone) -> None:
    assert visit(who).get("/keeping").status == 403


def test_a_pair_of_which_nothing_was_kept_is_no_sheet(visit: Visit) -> None:
    assert visit(KIT).get(f"/keeping/{INES.id}/T-31").status == 404
