"""Every page of every role, for an empty and for a full crew: sound, titled, without style or script of its own."""

from __future__ import annotations

import re
from dataclasses import fields
from typing import TYPE_CHECKING

import pytest
from jinja2 import meta, nodes

from tests import people
from tests.people import AMA, BEN, INES, KIT, MIRA, SOL
from tests.web import scene
from trainer.web import pages
from trainer.web.practise.answering import WORDS

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from bs4 import BeautifulSoup
    from flask import Flask

    from tests.people import Someone
    from tests.web.visitor import Sheet, Visitor

    Visit = Callable[..., Visitor]

CREW_SHEET = "/crew/" + people.CREW
OF_EACH: list[tuple[Someone, list[str]]] = [
    (AMA, ["/sheet", "/record", "/account", "/modules", "/drawing-language", "/nowhere"]),
    (MIRA, ["/bench"]),
    (MIRA, ["/sheet", "/record", "/people", "/people/" + BEN.id, "/people/" + AMA.id, "/crew", CREW_SHEET]),
    (SOL, ["/record", "/people", "/people/" + AMA.id, "/crew", CREW_SHEET, "/sign-off"]),
    (INES, ["/people", "/people/" + AMA.id, "/crew", CREW_SHEET, "/modules"]),
    (KIT, ["/agreement", "/publish"]),
    (SOL, ["/agreement"]),
    (SOL, ["/forecast/" + people.CREW, f"/cover/{people.CREW}?away={AMA.id}", "/plan/" + people.CREW]),
    (KIT, ["/register", "/register/" + BEN.id, "/modules", "/tasks"]),
]
FULL_ALONE: list[tuple[Someone, list[str]]] = [
    (AMA, ["/modules/" + scene.VALVE, "/practise/" + scene.VALVE, "/marked/1", "/records/QR-2027-0001"]),
    (AMA, [f"/practise/{scene.PILOT}?skill=order:rebuild"]),
    (MIRA, [f"/people/{BEN.id}/evaluate/{scene.VALVE}", "/marked/1"]),
    (MIRA, [f"/people/{BEN.id}/observe/{scene.VALVE}", "/bench/1", "/bench/1/close", "/bench/2"]),
    (MIRA, ["/bench/1/drawing/vent", f"/people/{BEN.id}/card/{scene.VALVE}"]),
    (AMA, ["/bench/2"]),
    (INES, ["/bench/2"]),
    (SOL, [f"/sign-off/{AMA.id}/T-31", "/records/QR-2027-0001"]),
    (INES, ["/records/QR-2027-0001", "/marked/1", "/tasks/T-31", "/tasks/changes/5"]),
    (KIT, ["/tasks/T-31/change"]),
]
CASES = [
    *[
        pytest.param("empty", who, path, id=f"empty {who.sign_in_name} {path}")
        for who, all_ in OF_EACH
        for path in all_
    ],
    *[
        pytest.param("full", who, path, id=f"full {who.sign_in_name} {path}")
        for who, all_ in (*OF_EACH, *FULL_ALONE)
        for path in all_
    ],
]


@pytest.fixture
def sheet(visit: Visit, who: Someone, path: str) -> Sheet:
    """The page of a case."""
    return visit(who).get(path)


@pytest.mark.parametrize(("crew", "who", "path"), CASES)
def test_a_page_is_sound(sheet: Sheet, path: str) -> None:
    assert sheet.status == (404 if path == "/nowhere" else 200), sheet.words()
    sheet.must_be_sound()
    soup = sheet.soup
    is_titled(soup)
    has_no_style_or_script_of_its_own(soup)
    fetches_nothing_from_elsewhere(soup)
    is_wired_up(soup)
    carries_the_headers(sheet)


def is_titled(soup: BeautifulSoup) -> None:
    """A title, a language and one first heading."""
    assert soup.title is not None
    assert len(soup.title.get_text().strip()) > 3
    assert [bool(heading.get_text().strip()) for heading in soup.select("h1")] == [True]
    assert soup.html is not None
    assert soup.html["lang"] == "en"


def has_no_style_or_script_of_its_own(soup: BeautifulSoup) -> None:
    """Nothing that the content security policy would have to allow."""
    assert soup.select("[style], style, [onclick], [onsubmit], [onload], [onchange]") == []
    assert [tag for tag in soup.select("script") if not tag.get("src") or tag.get_text().strip()] == []


def fetches_nothing_from_elsewhere(soup: BeautifulSoup) -> None:
    """Every address is one of our own."""
    for tag in soup.select("[src], link[href], use[href], form[action], a[href]"):
        address = str(tag.get("src") or tag.get("href") or tag.get("action"))
        assert address.startswith(("/", "#")), tag
        assert not address.startswith("//"), tag


def is_wired_up(soup: BeautifulSoup) -> None:
    """Ids are unique, and labels, descriptions and line work refer to something."""
    ids = [str(tag["id"]) for tag in soup.select("[id]")]
    assert len(ids) == len(set(ids))
    refers = [str(tag["for"]) for tag in soup.select("label[for]")]
    refers += [str(tag["href"])[1:] for tag in soup.select("use[href]")]
    refers += [
        str(tag[name]) for name in ("aria-labelledby", "aria-describedby") for tag in soup.select(f"[{name}]")
    ]
    assert set(refers) <= set(ids)
    assert len(soup.select("pattern")) == 0


def carries_the_headers(sheet: Sheet) -> None:
    """The policy is strict, and no copy stays behind."""
    headers = sheet.response.headers
    assert "unsafe" not in headers["Content-Security-Policy"]
    assert "default-src 'none'" in headers["Content-Security-Policy"]
    assert "frame-ancestors 'none'" in headers["Content-Security-Policy"]
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Cache-Control"] == "no-store"


def all_pages() -> Iterator[type[pages.Page]]:
    """Yield every page class there is."""
    waiting = list(pages.Page.__subclasses__())
    while waiting:
        page = waiting.pop()
        waiting += page.__subclasses__()
        yield page


@pytest.mark.parametrize("page", sorted(all_pages(), key=str), ids=str)
def test_a_template_uses_the_fields_of_its_page_and_nothing_else(app: Flask, page: type[pages.Page]) -> None:
    used = names_used(app, page.TEMPLATE) - set(app.jinja_env.globals) - {"frame"}
    assert used == {field.name for field in fields(page)}


def names_used(app: Flask, template: str) -> set[str]:
    """Return the names that a template, what it extends and what it includes take from outside."""
    loader = app.jinja_env.loader
    assert loader is not None
    source, _, _ = loader.get_source(app.jinja_env, template)
    tree = app.jinja_env.parse(source)
    names = meta.find_undeclared_variables(tree) - imported(tree)
    for other in tree.find_all((nodes.Extends, nodes.Include)):
        for name in _named(other):
            names |= names_used(app, name)
    return names


def imported(tree: nodes.Template) -> set[str]:
    """Return the names of macros; Jinja does not count them as known inside a block."""
    whole = {tag.target for tag in tree.find_all(nodes.Import)}
    pairs = (name for tag in tree.find_all(nodes.FromImport) for name in tag.names)
    return whole | {name if isinstance(name, str) else name[1] for name in pairs}


def _named(tag: nodes.Node) -> list[str]:
    """The templates a tag can mean; a part chosen by the form of answer means one for each form."""
    assert isinstance(tag, (nodes.Extends, nodes.Include))
    if isinstance(tag.template, nodes.Const):
        return [str(tag.template.value)]
    start = next(tag.template.find_all(nodes.TemplateData), None) or next(tag.template.find_all(nodes.Const))
    folder = str(start.as_const() if isinstance(start, nodes.Const) else start.data)
    return [f"{folder}{form}.html" for form in WORDS]


def test_the_crew_sheet_is_a_real_table(visit: Visit) -> None:
    sheet = visit(SOL).get(CREW_SHEET)
    table = sheet.one("table.crew-table")
    rows = table.select("tbody tr")
    assert [row.select("th")[0]["scope"] for row in rows] == ["row"] * len(rows)
    assert all(head["scope"] in ("col", "colgroup") for head in table.select("thead th"))
    ama = next(row for row in rows if "Ama Fenwright" in row.get_text())
    assert [svg["aria-label"] for svg in ama.select("svg")] == [
        "ready, waits for sign-off",
        "signed, in date",
    ]
    assert re.search(r"short \d", table.select("tfoot")[0].get_text())


def test_a_procedure_shows_each_caution_before_its_step(visit: Visit) -> None:
    sheet = visit(AMA).get("/modules/" + scene.VALVE)
    rows = sheet.soup.select(".phase tbody tr")
    vent = next(index for index, row in enumerate(rows) if "Vent the body" in row.get_text())
    assert "before" in (rows[vent - 1].get("class") or [])
    assert "Watch the gauge" in rows[vent - 1].get_text()
    assert "never replaces the manufacturer's instructions" in sheet.words()
    torques = next(table for table in sheet.soup.select("table") if "Torques" in table.get_text())
    assert [cell.get_text() for cell in torques.select("thead th")][2:5] == ["DN 50", "DN 80", "DN 100"]
    assert "95 N·m (70.1 lbf·ft)" in torques.get_text().replace("\xa0", " ")
