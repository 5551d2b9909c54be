"""The address of reminders on screen: the keeper enters it, its owner switches reminders off, nobody else sees it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.people import AMA, BEN, INES, KIT, MIRA, SOL

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.web.visitor import Visitor

    Visit = Callable[..., Visitor]

ADDRESS = "ama@invented.example"


def _entered(visit: Visit, address: str) -> Visitor:
    kit = visit(KIT)
    kit.get("/register/" + AMA.id)
    kit.send("form[action$='/address']", address=address)
    return kit


def test_the_keeper_enters_an_address_and_its_owner_switches_reminders_off(visit: Visit) -> None:
    ama = visit(AMA)
    assert "no address is kept for you" in ama.get("/account").words()
    kit = _entered(visit, ADDRESS)
    assert "The address is entered." in kit.sheet.words()
    assert f"told to {ADDRESS}" in ama.get("/account").words()
    assert "Reminders are off." in ama.send("form[action='/account/reminders']").words()
    assert "has switched reminders off" in kit.get("/register/" + AMA.id).words()
    assert "Reminders are on." in ama.send("form[action='/account/reminders']").words()
    _entered(visit, "")
    assert "no address is kept for you" in ama.get("/account").words()


def test_what_is_no_address_is_told_and_stays_in_the_field(visit: Visit) -> None:
    kit = _entered(visit, "ama at home")
    assert (kit.sheet.status, "'ama at home' is no e-mail address" in kit.sheet.said) == (422, True)
    assert str(kit.sheet.one("#f-address")["value"]) == "ama at home"


def test_nobody_else_sees_it(visit: Visit) -> None:
    _entered(visit, ADDRESS)
    for someone in (BEN, MIRA, SOL, INES):
        visitor = visit(someone)
        for path in ("/account", "/people/" + AMA.id, "/register/" + AMA.id, "/crew/" + AMA.crew):
            assert ADDRESS not in visitor.get(path).text
