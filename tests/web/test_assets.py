"""Static files: named by their content, kept for ever, all from our own host."""

from __future__ import annotations

import re
from itertools import product
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from trainer.web import assets
from trainer.web.practise.answering import WORDS

if TYPE_CHECKING:
    from flask import Flask

TEMPLATES = Path(assets.__file__).parent / "templates"


def test_another_content_is_another_address(tmp_path: Path) -> None:
    (tmp_path / "a.css").write_text("one")
    first = assets.load(tmp_path).digest
    assert assets.load(tmp_path).digest == first
    (tmp_path / "a.css").write_text("two")
    assert assets.load(tmp_path).digest != first


def test_a_template_that_names_a_missing_file_fails() -> None:
    with pytest.raises(KeyError):
        assets.load().known("css/no-such.css")


@pytest.mark.parametrize("name", sorted(assets.load().files))
def test_each_file_is_sent_with_its_type_and_kept(app: Flask, name: str) -> None:
    files = assets.load()
    answer = app.test_client().get(f"/static/{files.digest}/{name}", headers={"Accept-Encoding": "gzip"})
    assert answer.status_code == 200
    assert "immutable" in answer.headers["Cache-Control"]
    assert answer.headers["Content-Type"] == files.files[name].media_type
    assert answer.headers.get("Content-Encoding", "") == ("gzip" if files.files[name].packed else "")
    plain = app.test_client().get(f"/static/{files.digest}/{name}")
    assert plain.data == files.files[name].data


def test_an_old_digest_is_not_answered_with_new_content(app: Flask) -> None:
    assert app.test_client().get("/static/000000000000/css/sheet.css").status_code == 404


@pytest.mark.parametrize("name", [name for name in assets.load().files if name.endswith((".css", ".js"))])
def test_no_file_reaches_out(name: str) -> None:
    # The name of a namespace is no address that anything is fetched from.
    text = assets.load().files[name].data.decode().replace('"http://www.w3.org/2000/svg"', "")
    assert not re.search(r"https?:|@import|//[a-z]+\.", text)


# A bench sheet is opened once and works on without a connection: marks and photographs wait on the device.
_MORE = {"mark.html": 8_000}
# The scripts of a branch that a page does not take are not loaded with those of the one it takes.
_BRANCHES = re.compile(r"{%- (?:if|elif) \w+ %}\n(<script [^\n]*)")


def test_all_script_of_a_page_stays_small() -> None:
    """At most 6 kB of script, packed (a goal of the house), on whatever page and for whatever form of answer."""
    files = assets.load().files
    forms: list[set[str]] = [{words.script} - {""} for words in WORDS.values()]
    seen: set[str] = set()
    for template in TEMPLATES.rglob("*.html"):
        text = template.read_text(encoding="utf-8")
        named = set(re.findall(r"js/[\w-]+\.js", text))
        branches = [set(re.findall(r"js/[\w-]+\.js", branch)) for branch in _BRANCHES.findall(text)]
        for script, other in product(forms if "asset(script)" in text else [set()], branches or [set()]):
            loaded = _with_imports(named - other | script)
            seen |= loaded
            most = _MORE.get(template.name, 6_000)
            assert sum(len(files[name].packed) for name in loaded) < most, template.name
    # What a script registers to run beside the pages is loaded by none of them, and as small.
    workers = {name for name in files if name.endswith("-worker.js")}
    assert all(len(files[name].packed) < 6_000 for name in workers)
    assert seen | workers == {name for name in files if name.endswith(".js")}


def _with_imports(names: set[str]) -> set[str]:
    """Return scripts and what they import."""
    files = assets.load().files
    found: set[str] = set()
    while names:
        name = names.pop()
        found.add(name)
        imported = re.findall(r'from "\./([\w-]+\.js)"', files[name].data.decode())
        names |= {f"js/{other}" for other in imported} - found
    return found


def test_no_radius_no_shadow_no_gradient() -> None:
    text = "".join(f.data.decode() for name, f in assets.load().files.items() if name.endswith(".css"))
    rules = re.sub(r"/\*.*?\*/", "", text, flags=re.DOTALL)
    assert re.findall(r"(?:border-radius|box-shadow|text-shadow|filter|[a-z-]*gradient)[^;]*", rules) == [
        "border-radius: 0"
    ]


def test_scripts_put_no_markup_of_people_into_the_page() -> None:
    """ASVS 5.0, V3.2.2: text goes in as text. Thumbnails are drawings of ours, whose words are escaped where they are drawn."""
    markup = re.compile(r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|createContextualFragment")
    scripts = {name: file.data.decode() for name, file in assets.load().files.items() if name.endswith(".js")}
    assert {name: markup.findall(text) for name, text in scripts.items() if markup.search(text)} == {
        "js/thumbs.js": ["innerHTML"]
    }
