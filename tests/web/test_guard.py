"""Who may come in: every route by every role, as the permission table says."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from flask import Flask

from tests import people
from tests.people import AMA, BEN, CLEO, EVERYBODY, INES, KIT, MIRA, SOL
from tests.web import scene
from trainer.actions.permissions import allowed
from trainer.competency.policy import Policy
from trainer.store import policies
from trainer.web import guard

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.people import Someone
    from tests.web.visitor import Visitor
    from trainer.actions.opening import Database

    Visit = Callable[..., Visitor]

# A thing that exists for each piece of an address, so that a refusal is one of permission and not of absence.
PIECES = {
    "<module_id>": scene.VALVE,
    "<person_id>": BEN.id,
    "<task_id>": "T-31",
    "<path:crew>": people.CREW,
    "<number>": "QR-2027-0001",
    "<int:number>": "5",
    "<kind>/<path:subject>": "crew_sheet/" + people.CREW,
    "<int:attempt_id>": "1",
    "<part>": "bonnet",
    "<path:size>": "DN 50",
    "<int:done>": "1",
    "<any(phone, desk):width>": "phone",
    "<int:sitting_id>": "1",
    "<int:position>": "1",
    "<sha256>": policies.digest(Policy().as_data()),
    "<int:observation_id>": "1",
    "<int:panel_id>": "1",
    "<int:plan_number>": "1",
    "<path:skill_id>": "way-round",
    "<step>": "vent",
    "<kind>/<path:size>/<int:seed>": "order/DN 50/4",
}


def addresses(app: Flask) -> list[tuple[str, str, str]]:
    """Return (method, path pattern, endpoint) of every route."""
    return sorted(
        (method, rule.rule, rule.endpoint)
        for rule in app.url_map.iter_rules()
        for method in (rule.methods or set()) - {"HEAD", "OPTIONS"}
    )


def filled_in(rule: str, db: Database) -> str:
    """Return an address with something real in each piece."""
    path = rule.replace("<revision>", scene.revision_of(db, scene.VALVE))
    for piece, value in sorted(PIECES.items(), key=lambda item: -len(item[0])):
        path = path.replace(piece, value)
    return path


def test_every_route_names_its_permission_or_why_it_is_open(app: Flask) -> None:
    silent = [
        endpoint
        for _, _, endpoint in addresses(app)
        if not guard.permissions_of(app.view_functions[endpoint])
        and not guard.open_because(app.view_functions[endpoint])
    ]
    assert silent == []


def test_only_signing_in_static_files_and_secret_addresses_are_open(app: Flask) -> None:
    opened = {e for _, _, e in addresses(app) if guard.open_because(app.view_functions[e])}
    assert opened == {
        "account.calendar_feed",
        "account.sign_in",
        "account.sign_in_now",
        "bench.worker",
        "provider.back",
        "provider.begin",
        "static_file",
    }


def test_a_route_that_names_nothing_is_refused() -> None:
    app = Flask("undeclared")
    guard.install(app)

    @app.errorhandler(guard.EndpointUndeclared)
    def refused(problem: guard.EndpointUndeclared) -> tuple[str, int]:
        return str(problem), 403

    @app.get("/forgotten")
    def forgotten() -> str:
        return "secret"

    answer = app.test_client().get("/forgotten")
    assert answer.status_code == 403
    assert "secret" not in answer.get_data(as_text=True)


@pytest.mark.parametrize("who", EVERYBODY, ids=lambda who: who.sign_in_name)
def test_every_route_answers_each_role_as_the_table_says(
    app: Flask, db: Database, visit: Visit, who: Someone
) -> None:
    visitor = visit(who)
    token = str(visitor.get("/account").soup.select("[name=csrf_token]")[0]["value"])
    for method, rule, endpoint in addresses(app):
        if endpoint in ("account.sign_out", "static_file"):
            continue
        wanted = guard.permissions_of(app.view_functions[endpoint])
        may = not wanted or any(allowed(who.roles, permission) for permission in wanted)
        answer = visitor.client.open(filled_in(rule, db), method=method, data={"csrf_token": token})
        refused = b"This sheet is not for your role." in answer.data
        assert refused is not may, f"{method} {rule} for {who.sign_in_name}: {answer.status_code}"
        if not may:
            assert answer.status_code == 403


def test_nobody_gets_past_the_door_without_signing_in(app: Flask, db: Database, visit: Visit) -> None:
    visitor = visit()
    token = str(visitor.sheet.one("main [name=csrf_token]")["value"])
    for method, rule, endpoint in addresses(app):
        if guard.open_because(app.view_functions[endpoint]):
            continue
        answer = visitor.client.open(filled_in(rule, db), method=method, data={"csrf_token": token})
        if method == "GET":
            assert answer.status_code == 303, rule
            assert answer.headers["Location"].startswith("/sign-in"), rule
        else:
            assert answer.status_code == 401, rule
            assert guard.SIGNED_OUT in answer.get_data(as_text=True)


@pytest.mark.parametrize(
    ("who", "path", "status"),
    [
        (AMA, "/marked/1", 200),
        (CLEO, "/marked/1", 404),
        (BEN, "/marked/1", 404),
        (MIRA, "/marked/1", 200),
        (AMA, "/records/QR-2027-0001", 200),
        (BEN, "/records/QR-2027-0001", 404),
        (CLEO, "/records/QR-2027-0001", 404),
        (INES, "/records/QR-2027-0001", 200),
        (CLEO, "/print/qualification_record/QR-2027-0001", 404),
        (MIRA, "/people/" + CLEO.id, 404),
        (SOL, "/people/" + CLEO.id, 200),
        (AMA, "/people/" + AMA.id, 403),
        (KIT, "/people/" + AMA.id, 403),
        (MIRA, "/bench/1", 200),
        (SOL, "/bench/1", 404),
        (BEN, "/bench/1", 404),
        (AMA, "/bench/2", 200),
        (BEN, "/bench/2", 404),
        (CLEO, "/bench/2", 404),
        (INES, "/bench/2", 200),
        (SOL, "/bench/2/close", 404),
    ],
    ids=str,
)
def test_the_owner_the_colleague_and_the_stranger(visit: Visit, who: Someone, path: str, status: int) -> None:
    assert visit(who).get(path).status == status


def test_every_form_is_refused_without_its_token(app: Flask, db: Database, visit: Visit) -> None:
    visitor = visit(AMA)
    for method, rule, _ in addresses(app):
        if method == "POST":
            answer = visitor.client.post(filled_in(rule, db), data={})
            assert answer.status_code == 400, rule
            assert "opened before you last signed in" in answer.get_data(as_text=True)


def test_the_token_of_another_session_is_refused(visit: Visit) -> None:
    ben = visit(BEN)
    token = str(ben.get("/account").soup.select("[name=csrf_token]")[0]["value"])
    answer = visit(AMA).client.post("/sign-out", data={"csrf_token": token})
    assert answer.status_code == 400
