"""What ends when and what hangs on whom, as a supervisor, a mentor and an inspector see it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests import people
from tests.people import AMA, INES, MIRA, SOL
from tests.web.visitor import words

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.people import Someone
    from tests.web.visitor import Visitor

    Visit = Callable[..., Visitor]

FORECAST = "/forecast/" + people.CREW
COVER = "/cover/" + people.CREW


def test_the_crew_sheet_leads_to_both(visit: Visit) -> None:
    links = {str(a["href"]) for a in visit(SOL).get("/crew/" + people.CREW).soup.select("main a, footer a")}
    assert {FORECAST.replace(" ", "%20"), COVER.replace(" ", "%20")} <= links


def test_the_forecast_tells_what_is_short_and_draws_it(visit: Visit) -> None:
    sheet = visit(SOL).get(FORECAST)
    assert "nobody may do T-31 Overhaul a main valve, piston type" in sheet.words()
    # Ama alone of the crew may do T-41, of 3 that the register asks for; her interval runs for years.
    assert sheet.heading == "Short today; nothing more falls short in the next 13 weeks."
    drawn = sheet.one("svg.lanes")
    assert [str(text.string) for text in drawn.select("text.name")] == ["T-31", "T-41"]
    assert drawn.select(".missing")
    rows = {words(row).split()[0]: words(row) for row in sheet.soup.select("section table tbody tr")}
    assert "2027-03-22: 1" in rows["T-41"]


@pytest.mark.parametrize(
    ("asked", "current"), [("4", "4"), ("52", "52"), ("7", "13"), ("x", "13"), ("", "13")]
)
def test_it_looks_as_far_ahead_as_chosen(visit: Visit, asked: str, current: str) -> None:
    sheet = visit(INES).get(f"{FORECAST}?weeks={asked}")
    assert words(sheet.one("main [aria-current=true]")) == f"{current} weeks"


def test_who_is_chosen_away_is_counted_out(visit: Visit) -> None:
    visitor = visit(MIRA)
    sheet = visitor.get(COVER)
    assert "Ama Fenwright is away" in sheet.words()
    assert "Without" not in sheet.words()
    sheet = visitor.get(f"{COVER}?away={AMA.id}&away=P-9999&day=2027-04-01")
    assert words(sheet.one("#then")) == "Without Ama Fenwright on 2027-04-01"
    assert "Nobody may do T-41" in sheet.words()


def test_a_day_that_is_none_is_told_and_the_choice_stays(visit: Visit) -> None:
    sheet = visit(SOL).get(f"{COVER}?away={AMA.id}&day=soon")
    assert sheet.status == 422
    assert "'soon' is not a day" in sheet.said
    assert sheet.one(f"input[value={AMA.id}]").has_attr("checked")


@pytest.mark.parametrize("path", [FORECAST, COVER])
@pytest.mark.parametrize(("who", "status"), [(AMA, 403), (MIRA, 200), (INES, 200)])
def test_a_technician_sees_neither(visit: Visit, who: Someone, path: str, status: int) -> None:
    assert visit(who).get(path).status == status


@pytest.mark.parametrize("path", ["/forecast/", "/cover/"])
def test_another_crew_is_not_a_mentors_business(visit: Visit, path: str) -> None:
    assert visit(MIRA).get(path + people.OTHER_CREW).status == 404
    assert visit(SOL).get(path + people.OTHER_CREW).status == 200
    assert visit(SOL).get(path + "Nobody").status == 404
