"""Element classes of modules: by kind of drill, unless the author groups otherwise."""

from __future__ import annotations

import pytest

from tests.modules import SMALL_VALVE
from trainer import drills
from trainer.competency.skill_classes import SkillClass, class_of
from trainer.drills.element_classes import element_classes
from trainer.procedure import library


@pytest.mark.parametrize("name", library.shipped_procedures())
def test_every_skill_of_a_shipped_procedure_stands_in_one_class(name: str) -> None:
    module = library.load(name)
    found = element_classes(module)
    skills = drills.skills(module)
    assert sorted(item for element in found for item in element.skills) == sorted(
        skill.id for skill in skills
    )
    assert len({element.id for element in found}) == len(found)
    of_skill = {skill.id: class_of(skill) for skill in skills}
    assert all(of_skill[item] is element.skill_class for element in found for item in element.skills)


@pytest.mark.parametrize("name", library.shipped_procedures())
def test_there_are_few_classes_and_abnormal_conditions_stand_by_themselves(name: str) -> None:
    found = element_classes(library.load(name))
    assert len(found) <= 8
    assert [element.title for element in found if element.skill_class is SkillClass.ABNORMAL] == [
        "Abnormal conditions"
    ]


def test_the_author_groups_otherwise_and_the_rest_follows_the_kinds() -> None:
    text = SMALL_VALVE + "competency:\n  order: {title: Comes next, skills: [what-now]}\n"
    module = library.read_module(text, "m.yaml")
    assert module.problems == ()
    found = {element.id: element for element in element_classes(module)}
    assert found["order"].title == "Comes next"
    assert found["order"].skills == ("what-now",)
    rest = [element for name, element in found.items() if name.startswith("order.other")]
    assert rest
    assert all("what-now" not in element.skills for element in rest)
