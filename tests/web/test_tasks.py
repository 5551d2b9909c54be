"""The pages of the covered tasks: read by everybody, set by the keeper, each change with its reason."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.people import AMA, BEN, EVERYBODY, INES, KIT, MIRA, SOL
from tests.web import scene
from trainer.records.conditions import Ground
from trainer.records.methods import Method

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.people import Someone
    from tests.web.visitor import Sheet, Visitor

    Visit = Callable[..., Visitor]

FORM = "form[action='/tasks/T-31/change']"


def _set(keeper: Visitor, **fields: str) -> Sheet:
    keeper.get("/tasks/T-31/change")
    said = {"because": "After the winter.", "significant": "no", "password": KIT.password}
    return keeper.send(FORM, **(said | {name.replace("__", "."): value for name, value in fields.items()}))


@pytest.mark.parametrize("who", EVERYBODY, ids=lambda who: who.sign_in_name)
def test_everybody_reads_what_is_set_and_the_keeper_alone_is_offered_the_form(
    visit: Visit, who: Someone
) -> None:
    visitor = visit(who)
    listed = visitor.get("/tasks")
    listed.must_be_sound()
    assert "10 covered tasks." in listed.heading
    assert "T-12 Hold the outlet by hand on the bypass" in listed.words()
    sheet = visitor.get("/tasks/T-31")
    sheet.must_be_sound()
    text = sheet.words()
    for ground in Ground:
        assert ground.words in text
    assert "Required by 192.739(a)(1), (3)." in text
    assert "36 months: Each person opens two or three a year" in text
    assert "who directs one person at most." in text
    assert bool(sheet.soup.select("a[href='/tasks/T-31/change']")) is (who is KIT)
    assert visitor.get("/tasks/T-31/change").status == (200 if who is KIT else 403)
    assert visitor.get("/tasks/T-99").status == 404


def test_the_keeper_sets_a_task_and_everybody_sees_what_was_different(visit: Visit) -> None:
    sheet = _set(visit(KIT), task__span="0", task__span_because="Not on a live station.", task__needed="5")
    assert sheet.status == 200
    assert "Set from this moment on." in sheet.text
    assert (
        "Nobody works at it unqualified, not even directed and observed. Not on a live station."
        in sheet.words()
    )
    listed = visit(AMA).get("/tasks")
    assert "Needed on the crew; span of control; why this span After the winter. no" in listed.words(
        "section"
    )
    made = visit(INES).get("/tasks/changes/11")
    made.must_be_sound()
    assert "Needed on the crew 4 5" in made.words()
    assert visit(INES).get("/tasks/changes/99").status == 404


def test_a_wrong_field_is_told_at_its_place_and_nothing_typed_is_lost(visit: Visit) -> None:
    sheet = _set(visit(KIT), task__interval_months="0", task__title="Another title")
    assert sheet.status == 422
    sheet.must_be_sound()
    field = sheet.one("[name='task.interval_months']")
    assert (field["value"], field["aria-invalid"]) == ("0", "true")
    assert "between 1 and 120" in sheet.words(f"[id='{field['aria-describedby']}']")
    assert sheet.one("[name='task.title']")["value"] == "Another title"
    assert "After the winter." in sheet.one("[name='because']").get_text()


def test_methods_and_ticks_are_kept_as_typed(visit: Visit) -> None:
    """A tick that is taken out is not sent at all."""
    fields = {f"task__method__{method}": "not" for method in Method} | {"task__method__written": "always"}
    sheet = _set(visit(KIT), **fields, task__other_crew="yes")
    assert sheet.status == 422
    assert "say why this is asked of evaluators" in sheet.said
    assert sheet.one("[name='task.method.written'] option[selected]")["value"] == "always"
    assert sheet.soup.select("[name='task.other_crew'][checked]")
    sheet = _set(visit(KIT), **fields, task__other_crew="yes", task__evaluators_because="Two pairs of eyes.")
    assert "Of another crew than the person evaluated." in sheet.words()
    assert "Allowed: written examination. Every evaluation uses: written examination." in sheet.words()


def test_whether_a_change_is_significant_has_to_be_said(visit: Visit) -> None:
    sheet = _set(visit(KIT), task__needed="5", significant="")
    assert "Say whether this is a significant change" in sheet.said


def test_of_a_significant_change_the_agency_is_told(visit: Visit) -> None:
    """49 CFR 192.805(i), through the twin 195.505(i)."""
    visitor = visit(KIT)
    _set(visitor, task__needed="5", significant="yes")
    assert "The agency is not told yet of 1 significant change" in visit(INES).get("/tasks").heading
    assert visit(INES).get("/tasks/changes/11").soup.select("form[action='/tasks/changes/11']") == []
    visitor.get("/tasks/changes/11")
    form = "form[action='/tasks/changes/11']"
    wrong = visitor.send(form, told_on="2028-01-01", password=KIT.password)
    assert "lies in the future" in wrong.said
    done = visitor.send(form, told_on="2027-03-20", password=KIT.password)
    assert "yes, agency told 2027-03-20" in done.words()
    assert done.soup.select(form) == []
    assert visit(INES).get("/tasks").heading == "10 covered tasks."


def test_two_who_change_one_task_do_not_undo_each_other(visit: Visit) -> None:
    visitor = visit(KIT)
    visitor.get("/tasks/T-31/change")
    before = str(visitor.sheet.one(f"{FORM} [name='seen']")["value"])
    said = {"because": "So.", "significant": "no", "password": KIT.password}
    assert visitor.send(FORM, **{"task.needed": "5", **said}).status == 200
    visitor.get("/tasks/T-31/change")
    refused = visitor.send(FORM, **{"task.interval_months": "24", "seen": before, **said})
    assert "changed by somebody else meanwhile" in refused.said
    assert refused.one("[name='task.interval_months']")["value"] == "24"


def test_the_evaluation_form_offers_the_methods_of_the_task(visit: Visit) -> None:
    path = f"/people/{BEN.id}/evaluate/{scene.VALVE}"
    sheet = visit(MIRA).get(path)
    offered = [str(tag["value"]) for tag in sheet.soup.select("[name='methods']")]
    assert offered == ["written", "oral", "on_the_job", "during_training", "simulation"]
    assert "At least one of: observation on the job" in sheet.words()


def test_the_mentors_sheet_says_why_somebody_may_not_evaluate(visit: Visit) -> None:
    path = "/people/" + BEN.id
    assert "Today you may not evaluate this" not in visit(MIRA).get(path).words()
    _set(visit(KIT), task__other_crew="yes", task__evaluators_because="Two pairs of eyes.")
    told = visit(MIRA).get(path).words()
    assert "Today you may not evaluate this: Somebody of another crew evaluates" in told
    assert "the programme's reason: Two pairs of eyes." in told


def test_sheets_say_how_somebody_works_who_is_not_qualified(visit: Visit) -> None:
    crew = visit(SOL).get("/crew/" + BEN.crew)
    assert "Unqualified, directed by one at most 1 1" in crew.words(".crew-table tfoot")
    assert "Two hands at one bench are seen from beside it" in crew.words(".under details")
    own = visit(BEN).get("/sheet").words()
    assert (
        "Until it is signed Only while directed and observed by somebody qualified, who directs one person at most."
        in own
    )
    _set(visit(KIT), task__span="0", task__span_because="Not on a live station.")
    own = visit(BEN).get("/sheet").words()
    assert "Nobody works at it unqualified, not even directed and observed. Not on a live station." in own
