"""What an observation says, on the small valve: gas under its bonnet, a spring under its cap."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from tests.modules import SMALL_VALVE
from trainer import drills
from trainer.drills import observed
from trainer.procedure import library
from trainer.procedure.window import prepare
from trainer.records.observation import StepMark, StepSeen

MODULE = library.read_module(SMALL_VALVE, "small-valve.yaml", library.tables())
PROCEDURE = prepare(MODULE, "DN 80")
AT = datetime(2027, 3, 17, 9, 0, tzinfo=UTC)
ALL = list(MODULE.steps)


def job(steps: list[str], **marks: StepMark | None) -> list[StepSeen]:
    return [
        StepSeen(step, marks.get(step, StepMark.UNAIDED), "", AT + timedelta(minutes=number))
        for number, step in enumerate(steps)
    ]


def test_critical_are_danger_way_round_and_torque() -> None:
    critical = observed.critical_steps(PROCEDURE)
    assert "danger" in critical["vent"]
    assert "danger" in critical["studs"]
    assert "warning" in critical["relax"]
    assert critical["seat_in"] == observed.WAY_ROUND
    assert observed.TORQUE in critical["studs_tight"]
    assert not {"clean", "look", "cage_in"} & set(critical)
    assert list(critical) == [step for step in ALL if step in critical]


def test_an_order_that_frees_gas_is_told_with_what_would_have_happened() -> None:
    steps = ["shut", "studs", "vent"]
    mark = observed.order_carried_out(PROCEDURE, steps)
    assert mark is not None
    assert mark.critical
    assert mark.incident is not None
    assert mark.incident.step == "studs"
    assert "bonnet is thrown" in mark.incident.text
    assert observed.order_carried_out(PROCEDURE, ["shut"]) is None


def test_a_clean_job_gives_a_right_attempt_of_each_skill_that_shows_in_the_work() -> None:
    found = observed.witnessed(PROCEDURE, job(ALL))
    assert [item.skill for item in found] == [
        skill.id for skill in drills.skills(MODULE) if skill.kind in ("order", "way-round", "torque-pass")
    ]
    assert all(item.right and not item.critical for item in found)
    last = {item.skill: item.at for item in found}
    assert last["order:teardown"] == AT + timedelta(minutes=ALL.index("seat_gasket_off"))


def test_a_skill_of_which_a_step_was_not_seen_is_not_witnessed() -> None:
    without = [step for step in ALL if step != "cap_tight"]
    skills = {item.skill for item in observed.witnessed(PROCEDURE, job(without))}
    assert "torque-pass:cap_screws" not in skills
    assert "torque-pass:bonnet_studs" in skills
    not_marked = {item.skill for item in observed.witnessed(PROCEDURE, job(ALL, seat_in=None))}
    assert "order:rebuild" not in not_marked


def test_help_and_slips_make_an_attempt_not_right_and_a_slip_at_a_critical_step_critical() -> None:
    for mark, critical in (
        (StepMark.WORD, False),
        (StepMark.MENTOR, False),
        (StepMark.WRONG, True),
    ):
        found = {item.skill: item for item in observed.witnessed(PROCEDURE, job(ALL, cap_tight=mark))}
        assert not found["torque-pass:cap_screws"].right
        assert found["torque-pass:cap_screws"].critical is critical
        assert found["torque-pass:bonnet_studs"].right


def test_a_part_set_in_the_wrong_way_round_shows_in_the_skill_about_it() -> None:
    path = library.shipped_procedures()["piston-valve-overhaul"]
    module = library.read_module(path.read_text(encoding="utf-8"), path.name, library.tables())
    steps = list(module.steps)
    found = {
        item.skill: item
        for item in observed.witnessed(prepare(module, "DN 80"), job(steps, sleeve_in=StepMark.WRONG))
    }
    assert (found["way-round"].right, found["way-round"].critical) == (False, True)
    assert found["torque-pass:nuts"].right


def test_a_wrong_order_fails_its_phase_and_what_must_never_come_first() -> None:
    turned = ["shut", "studs", *(step for step in ALL if step not in ("shut", "studs"))]
    found = {item.skill: item for item in observed.witnessed(PROCEDURE, job(turned))}
    dangerous = found["order:dangerous"]
    assert (dangerous.right, dangerous.critical) == (False, True)
    assert found["torque-pass:bonnet_studs"].right


def test_a_harmless_slip_of_order_is_no_critical_one() -> None:
    late = list(ALL)
    late.remove("seat_gasket_off")
    late.insert(late.index("seat_out"), "seat_gasket_off")
    found = {item.skill: item for item in observed.witnessed(PROCEDURE, job(late))}
    assert (found["order:teardown"].right, found["order:teardown"].critical) == (False, False)
    assert found["order:dangerous"].right


def test_the_time_of_an_attempt_is_that_of_its_last_step() -> None:
    late = [
        replace(item, at=AT + timedelta(hours=5)) if item.step == "cap_tight" else item for item in job(ALL)
    ]
    found = {item.skill: item.at for item in observed.witnessed(PROCEDURE, late)}
    assert found["torque-pass:cap_screws"] == AT + timedelta(hours=5)
