from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.actions import bench
from tests.actions.bench import NOW
from tests.people import AMA, BEN, CLEO, CREW, INES, KIT, MIRA, OTHER_CREW, SOL
from trainer.actions import chosen_people, crew, mentor
from trainer.actions import people as register
from trainer.actions.actor import SYSTEM, NotAllowed, NotFound
from trainer.actions.chosen_people import Wanted

if TYPE_CHECKING:
    from tests.people import Someone
    from trainer.actions.opening import Database


@pytest.fixture
def crowded(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the few people of the tests be too many for one sheet."""
    monkeypatch.setattr(chosen_people, "AT_ONCE", 3)


def lines(db: Database, who: Someone, wanted: Wanted) -> tuple[list[str], tuple[str, ...], str | None]:
    choice, shown = mentor.chosen_people(db, bench.enter(db, who), wanted, now=NOW)
    return [line.person_id for line in shown], choice.crews, choice.crew


def test_where_they_are_few_everybody_is_shown_and_nothing_is_chosen(db: Database) -> None:
    assert lines(db, SOL, Wanted(crew=OTHER_CREW)) == ([AMA.id, BEN.id, CLEO.id], (), None)


@pytest.mark.usefixtures("crowded")
def test_in_a_large_company_a_list_begins_with_ones_own_crew(db: Database) -> None:
    assert lines(db, SOL, Wanted()) == ([AMA.id, BEN.id], ("", CREW, OTHER_CREW), CREW)
    assert lines(db, SOL, Wanted(crew=OTHER_CREW))[0] == [CLEO.id]


@pytest.mark.usefixtures("crowded")
def test_a_crew_that_is_none_or_not_ones_own_is_passed_over(db: Database) -> None:
    assert lines(db, SOL, Wanted(crew="Nowhere"))[2] == CREW
    assert lines(db, MIRA, Wanted(crew=OTHER_CREW)) == ([AMA.id, BEN.id], (), CREW)


@pytest.mark.usefixtures("crowded")
def test_somebody_is_found_by_a_part_of_the_name_whatever_its_case(db: Database) -> None:
    choice, _ = mentor.chosen_people(db, bench.enter(db, SOL), Wanted(name=" MARL "), now=NOW)
    assert [person.id for person in choice.found] == [CLEO.id]
    assert choice.name == "MARL"
    choice, _ = mentor.chosen_people(db, bench.enter(db, MIRA), Wanted(name="marl"), now=NOW)
    assert choice.found == ()


@pytest.mark.usefixtures("crowded")
@pytest.mark.parametrize("typed", ["%", "_", "\\", "'"])
def test_signs_of_the_query_language_are_looked_for_as_they_are(db: Database, typed: str) -> None:
    choice, _ = mentor.chosen_people(db, bench.enter(db, SOL), Wanted(name=typed), now=NOW)
    assert choice.found == ()


@pytest.mark.usefixtures("crowded")
def test_the_register_counts_and_finds_those_who_have_left(db: Database) -> None:
    register.retire(db, SYSTEM, CLEO.id, now=NOW)
    keeper = bench.enter(db, KIT)
    choice, listed = register.register(db, keeper, Wanted(crew=OTHER_CREW, name="cleo"))
    assert [person.person_id for person in listed] == [CLEO.id]
    assert [person.id for person in choice.found] == [CLEO.id]
    assert choice.of == 7
    assert register.entry(db, keeper, CLEO.id).retired_at == NOW


def test_an_entry_is_for_those_who_may_see_it(db: Database) -> None:
    with pytest.raises(NotFound):
        register.entry(db, bench.enter(db, KIT), "P-9999")
    with pytest.raises(NotFound):
        register.entry(db, bench.enter(db, MIRA), CLEO.id)
    with pytest.raises(NotAllowed):
        register.entry(db, bench.enter(db, AMA), BEN.id)


def test_the_first_of_what_ends_are_those_that_end_first(db: Database) -> None:
    for someone in (AMA, BEN):
        bench.make_ready(db, someone)
        bench.sign_by(db, bench.enter(db, SOL), someone)
    actor = bench.enter(db, INES)
    everything = crew.lapses(db, actor, days=4000, now=NOW)
    assert len(everything) == 2
    assert crew.lapses(db, actor, days=4000, most=1, now=NOW) == everything[:1]
    assert crew.lapses(db, actor, days=4000, most=5, now=NOW) == everything
