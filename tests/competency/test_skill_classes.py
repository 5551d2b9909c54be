"""Each skill stands in exactly one element class, and no class mixes what weighs differently."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from trainer.competency.evidence import Skill
from trainer.competency.skill_classes import ElementClass, Group, SkillClass, class_of, element_classes

TEARDOWN = Skill("order:teardown", "teardown, in order", "order", critical=True)
INSPECT = Skill("order:inspect", "inspection, in order", "order")
STOP = Skill("stop", "stop or go on", "stop", critical=True, abnormal=True)
SKILLS = (TEARDOWN, INSPECT, STOP)


def test_the_class_of_a_skill() -> None:
    assert [class_of(skill) for skill in SKILLS] == [
        SkillClass.CRITICAL,
        SkillClass.ORDINARY,
        SkillClass.ABNORMAL,
    ]


def test_a_group_of_one_weight_stays_whole_and_keeps_its_name() -> None:
    (first, *_) = element_classes(SKILLS, [Group("orders", "Orders", (TEARDOWN.id,))])
    assert first == ElementClass("orders", "Orders", SkillClass.CRITICAL, (TEARDOWN.id,))


def test_a_mixed_group_is_parted() -> None:
    found = element_classes(SKILLS, [Group("orders", "Orders", (INSPECT.id, TEARDOWN.id))])
    assert [(item.id, item.title, item.skills) for item in found] == [
        ("orders.critical", "Orders, critical", (TEARDOWN.id,)),
        ("orders.ordinary", "Orders, not critical", (INSPECT.id,)),
        (STOP.id, STOP.title, (STOP.id,)),
    ]


def test_the_first_group_has_a_skill_and_unknown_ids_are_passed_over() -> None:
    groups = [Group("a", "A", (STOP.id, "nothing")), Group("b", "B", (STOP.id,)), Group("c", "C", ("gone",))]
    found = element_classes(SKILLS, groups)
    assert [item.id for item in found] == ["a", TEARDOWN.id, INSPECT.id]


@given(
    skills=st.lists(
        st.builds(
            Skill, st.sampled_from("abcdefg"), st.just("t"), st.just("k"), st.booleans(), st.booleans()
        ),
        unique_by=lambda skill: skill.id,
    ),
    groups=st.lists(
        st.builds(
            Group, st.sampled_from("uvw"), st.just("T"), st.lists(st.sampled_from("abcdefgh")).map(tuple)
        )
    ),
)
def test_every_skill_stands_in_one_class_of_its_weight(skills: list[Skill], groups: list[Group]) -> None:
    found = element_classes(skills, groups)
    assert sorted(name for item in found for name in item.skills) == sorted(skill.id for skill in skills)
    by_id = {skill.id: skill for skill in skills}
    assert all(class_of(by_id[name]) is item.skill_class for item in found for name in item.skills)
