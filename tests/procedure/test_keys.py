"""The table of keys: its JSON Schema, its reference page, and that every key of it does something."""

from __future__ import annotations

import json
import re
from dataclasses import fields
from typing import TYPE_CHECKING, Any

import pytest
import yaml
from jsonschema import Draft202012Validator

from tests.modules import SMALL_VALVE
from trainer import settings
from trainer.procedure import keys, library, source
from trainer.procedure.blocks import Block, Key, TableOf
from trainer.procedure.build import build
from trainer.procedure.findings import Place
from trainer.procedure.values import QuantityOf, Reading, Value
from trainer.trade.units import Quantity, QuantityUnreadable, UnitUnknown

if TYPE_CHECKING:
    from trainer.procedure.model import Module

SCHEMA = keys.json_schema()
VALIDATOR = Draft202012Validator(SCHEMA)
RENEW = "it is made from the table of keys: run `trainer language --write`"


class EditorLoader(yaml.SafeLoader):
    """Reads as an editor does that completes by a JSON Schema: YAML 1.2, core schema."""

    yaml_implicit_resolvers: dict[str, list[tuple[str, re.Pattern[str]]]] = {}  # noqa: RUF012 - as PyYAML wants it


for _tag, _pattern in {
    "bool": r"true|True|TRUE|false|False|FALSE",
    "null": r"~|null|Null|NULL|",
    "int": r"[-+]?[0-9]+",
    "float": r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?",
}.items():
    EditorLoader.add_implicit_resolver(f"tag:yaml.org,2002:{_tag}", re.compile(f"^(?:{_pattern})$"), None)


def as_an_editor_sees_it(text: str) -> Any:
    return yaml.load(text, Loader=EditorLoader)  # noqa: S506 - a SafeLoader


PROCEDURES = {
    "small valve": SMALL_VALVE,
    **{name: path.read_text(encoding="utf-8") for name, path in library.shipped_procedures().items()},
}


def complaints(data: Any) -> list[str]:
    return [f"{'/'.join(map(str, e.absolute_path))}: {e.message}" for e in VALIDATOR.iter_errors(data)]


BLOCKS = [pytest.param(block, id=title) for title, block in keys.BLOCKS]
EVERY_KEY = [
    pytest.param(title, key, id=f"{title}-{key.name}") for title, block in keys.BLOCKS for key in block.keys
]


def read_value(value: Value, text: str) -> tuple[Any, Reading]:
    """What a key makes of a text that stands behind its colon."""
    tree = source.read(f"x: {text}\n", "m.yaml")
    assert tree.findings == ()
    assert tree.root is not None
    reading = Reading()
    return value.read(tree.root.entries["x"], ("x",), reading), reading


# --- the schema ---


def test_the_schema_is_a_valid_one() -> None:
    Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_the_schema_survives_being_written_and_read() -> None:
    assert json.loads(json.dumps(SCHEMA)) == SCHEMA


@pytest.mark.parametrize("name", PROCEDURES)
def test_the_schema_accepts_what_is_shipped(name: str) -> None:
    assert complaints(as_an_editor_sees_it(PROCEDURES[name])) == []


@pytest.mark.parametrize("word", ["on", "off", "no", "yes", "1:30", "012", "2024-01-02", "5", "0.5", "true"])
def test_the_schema_takes_words_as_texts(word: str) -> None:
    text = SMALL_VALVE.replace("Overhaul a small invented valve", word)
    assert complaints(as_an_editor_sees_it(text)) == []
    assert library.read_module(text, "m.yaml").title == word


def test_sizes_may_be_plain_numbers() -> None:
    text = SMALL_VALVE.replace("DN 50", "50").replace("DN 80", "80").replace("DN 100", "100")
    assert complaints(as_an_editor_sees_it(text)) == []
    assert library.read_module(text, "m.yaml").sizes == ("50", "80", "100")


UNKNOWN = {
    "The file": ("title: ", "titel: x\ntitle: "),
    "phases": ("  make_safe: Make safe", "  make_safe: {title: Make safe, colour: red}"),
    "facts": ("hand_back: true}", "hand_back: true, colour: red}"),
    "energies": ("    signal: danger\n", "    signal: danger\n    colour: red\n"),
    "parts": ("body: {fixed: true}", "body: {fixed: true, colour: red}"),
    "fasteners": ("count: 4,", "count: 4, colour: red,"),
    "cautions": ("{signal: warning, text: The spring", "{signal: warning, colour: red, text: The spring"),
    "steps": ("{id: shut,", "{id: shut, colour: red,"),
}


@pytest.mark.parametrize("where", UNKNOWN)
def test_an_unknown_key_is_refused_by_schema_and_reader(where: str) -> None:
    text = SMALL_VALVE.replace(*UNKNOWN[where], 1)
    assert text != SMALL_VALVE
    assert complaints(as_an_editor_sees_it(text)) != []
    assert "unknown-key" in {finding.code for finding in library.read_module(text, "m.yaml").problems}


WRONG = {
    "a flag that is a word": ("fixed: true", "fixed: yes"),
    "a count of none": ("count: 4", "count: 0"),
    "a count that is none": ("count: 4", "count: four"),
    "a torque without a number": ("torque: 22 N·m", "torque: N·m"),
    "a torque without a unit": ("torque: 22 N·m", "torque: 22"),
    "a decimal comma": ("torque: 22 N·m", "torque: 2,2 N·m"),
    "a signal word that is none": ("signal: danger", "signal: beware"),
    "a name with blanks": ("{id: shut,", "{id: Shut it,"),
    "a pass of nothing": ("30 %, 60 %", "0 %, 60 %"),
    "a pass of too much": ("30 %, 60 %", "130 %, 60 %"),
    "a direction that is none": ("conical face: up", "conical face: sideways"),
    "two ways round": ("{conical face: up}", "{conical face: up, flat face: down}"),
    "no title": ("title: Overhaul a small invented valve\n", ""),
    "an empty title": ("title: Overhaul a small invented valve\n", "title:\n"),
    "a list of parts": ("  body: {fixed: true}\n", "  - body\n"),
}


@pytest.mark.parametrize("case", WRONG)
def test_a_wrong_value_is_refused_by_schema_and_reader(case: str) -> None:
    text = SMALL_VALVE.replace(*WRONG[case], 1)
    assert text != SMALL_VALVE
    if source.read(text, "m.yaml").root is not None:
        assert complaints(as_an_editor_sees_it(text)) != []
    assert library.read_module(text, "m.yaml").problems != ()


QUANTITIES = [
    "8 bar", "0.6 kg", ".5 mm", "95 N·m", "95N·m", "-20 °C", "\u221220 °C", "+3 mm", "1/2 in", "1-1/2 in", "1 1/2 in",
    "1e3 N", "90 °", "30 %", "8", "bar", "1,5 bar", "1 000 N", "1.2.3 bar", "--3 mm", "", "8 -", "about 8 bar", "8 bar/s",
]  # fmt: skip


@pytest.mark.parametrize("text", QUANTITIES)
def test_the_schema_takes_a_quantity_if_and_only_if_it_can_be_read(text: str) -> None:
    schema = Draft202012Validator(QuantityOf("mass", "1 kg").schema())
    try:
        Quantity.parse(text)
        readable = True
    except QuantityUnreadable:
        readable = False
    except UnitUnknown:  # beyond a pattern
        readable = True
    assert schema.is_valid(text) is readable


# --- the words ---


@pytest.mark.parametrize("block", BLOCKS)
def test_every_key_says_what_it_means(block: Block) -> None:
    assert block.keys
    for key in block.keys:
        assert key.meaning[:1].isupper() or key.meaning[:1] == "`", key.name
        assert key.meaning.endswith("."), key.name
        assert key.value.words, key.name
        assert block.by_name[key.name] is key
    assert len(block.by_name) == len(block.keys)


@pytest.mark.parametrize(("title", "key"), EVERY_KEY)
def test_every_key_has_an_example_that_can_be_read(title: str, key: Key) -> None:
    if title == "The file" and isinstance(key.value, TableOf) and not key.example:
        return  # the blocks below it have examples of their own
    if title == "The file" and key.name == "steps":
        return
    value, reading = read_value(key.value, key.example)
    assert value not in (None, ())
    assert reading.findings == []


def test_every_block_of_the_language_is_listed() -> None:
    found: list[Block] = []

    def walk(value: Any) -> None:
        if isinstance(value, Block):
            found.append(value)
            for key in value.keys:
                walk(key.value)
        for inner in ("block", "inner"):
            if hasattr(value, inner):
                walk(getattr(value, inner))

    walk(keys.MODULE)
    assert {block.title for block in found} == {block.title for _, block in keys.BLOCKS}


def test_the_reference_page_has_every_key() -> None:
    page = keys.reference_page()
    for title, block in keys.BLOCKS:
        section = page.split(f"\n## {title}\n")[1].split("\n## ")[0]
        rows = re.findall(r"^\| `([a-z_]+)`( \*)? \|", section, re.MULTILINE)
        assert [(name, bool(star)) for name, star in rows] == [(key.name, key.required) for key in block.keys]
        assert ("must be there" in section) is any(key.required for key in block.keys)
    assert all(
        line.count("|") - line.count("\\|") == 5 for line in page.splitlines() if line.startswith("| `")
    )


def test_the_shipped_reference_page_is_the_one_of_the_table() -> None:
    path = settings.shipped("content") / "LANGUAGE.md"
    assert path.is_file(), f"{path} is missing; {RENEW}"
    assert path.read_text(encoding="utf-8") == keys.reference_page(), f"{path} is out of date; {RENEW}"


def test_the_shipped_schema_is_the_one_of_the_table() -> None:
    path = settings.shipped("content") / "procedure.schema.json"
    assert path.is_file(), f"{path} is missing; {RENEW}"
    assert json.loads(path.read_text(encoding="utf-8")) == SCHEMA, f"{path} is out of date; {RENEW}"


# --- every key does something ---

# The keys that must be there, with other values than their examples.
SPARSE: dict[str, dict[str, str]] = {
    "The file": {
        "module": "m", "title": "M", "covered_task": "T-1", "sizes": "[S]", "parts": "{p: {}}", "steps": "[{id: s, do: Do}]",
    },
    "phases": {"title": "P"},
    "facts": {"text": "F"},
    "energies": {"signal": "warning", "safe_when": "f", "otherwise": "O"},
    "parts": {},
    "parts: judged": {},
    "parts: handled": {"reach": "30 cm", "height": "30 cm"},
    "fasteners": {},
    "fasteners: castle": {"slots": "8", "rule": "back_off_to_slot"},
    "fasteners: adapter": {"wrench": "1 m", "offset": "1 m"},
    "lines": {"joins": "p"},
    "cautions": {"signal": "danger", "text": "C"},
    "steps": {"id": "s", "do": "Do"},
    "sayings": {"ask": "A", "say": "S"},
    "faults": {"symptom": "S", "causes": "{a: A}", "checks": "{}"},
    "faults: causes": {"text": "C"},
    "faults: checks": {"do": "D", "minutes": "1", "finds": "a", "found": "F", "not_found": "N"},
    "tooling": {"step": "s", "right": "R", "because": "B"},
    "figures": {"ask": "A", "by": "convert", "given": "{value: 1 m}", "units": "[mm]"},
    "sights": {"during": "s", "sight": "S", "do": "stop", "how": "H"},
    "competency": {"title": "G", "skills": "[say-it]"},
    "shapes": {},
    "shapes: body": {"loops": "[[[0, 0], [5, 0], [5, 5]]]"},
    "shapes: oring": {"r": "1", "d": "1"},
    "shapes: spring": {"r": "1", "wire": "1", "length": "1", "coils": "1"},
    "shapes: stud": {"d": "1", "length": "1"},
    "shapes: nut": {"d": "1", "af": "1", "h": "1"},
    "shapes: bolt": {"d": "1", "af": "1", "h": "1", "length": "1"},
    "shapes: castle_nut": {"d": "1", "af": "1", "h": "1", "slot": "[1, 1]", "slots": "4"},
    "shapes: pin": {"d": "1", "length": "1"},
    "shapes: plug": {"seat": "1", "d": "1", "length": "1", "head": "1", "af": "1"},
    "shapes: tube": {"path": "[[0, 0], [1, 0]]", "d": "1"},
    "shapes: cuts": {"z": "[1, 2]"},
    "shapes: windows": {"n": "1", "z": "[1, 2]", "width": "1"},
    "shapes: threads": {"r": "1", "root": "1", "z": "[1, 2]"},
    "shapes: hex": {"af": "1", "z": "[1, 2]"},
    "shapes: turn": {},
    "shapes: outside": {},
    "shapes: outside: holes": {"r": "1", "d": "1", "n": "1", "face": "1"},
    "shapes: outside: stubs": {"z": "1", "profile": "[[1, 1], [3, 1], [3, 3]]"},
    "drawing": {},
    "drawing: spaces": {},
    "drawing: features": {"name": "F", "at": "[0, 0]"},
    "drawing: flows": {"name": "F", "at": "[0, 1]", "toward": "down"},
    "drawing: explode": {"name": "E", "parts": "[p]"},
    "station": {},
    "station: pieces": {},
    "station: elements": {"name": "E", "form": "valve", "joins": "[a, b]", "at": "[1, 2]"},
}  # fmt: skip
# Blocks that stand elsewhere than their title says, and what they need beside them to count.
FAULT = "faults:\n  f:\n    symptom: S\n"
SHAPE = "shapes:\n  p:\n    profile: [[1, 1], [2, 1], [2, 2]]\n"
PLACES = {
    "faults: causes": FAULT + "    checks: {}\n    causes:\n      x:\n{8}",
    "faults: checks": FAULT + "    causes: {a: A}\n    checks:\n      x:\n{8}",
    "shapes: cuts": SHAPE + "    cuts:\n    -\n{6}",
    "shapes: outside: holes": SHAPE + "    outside:\n      holes:\n      -\n{8}",
    "shapes: outside: stubs": SHAPE + "    outside:\n      stubs:\n      -\n{8}",
    "drawing": SHAPE + "drawing:\n{4}",
    "drawing: spaces": SHAPE + "drawing:\n  spaces:\n    x:\n{6}",
    "drawing: features": SHAPE + "drawing:\n  features:\n  -\n{4}",
    "drawing: flows": SHAPE + "drawing:\n  flows:\n  -\n{4}",
    "drawing: explode": SHAPE + "drawing:\n  explode:\n  -\n{4}",
    "station": "station:\n{4}",
    "station: pieces": "station:\n  pieces:\n    x:\n{6}",
    "station: elements": "station:\n  elements:\n    x:\n{6}",
}
# Where an example must differ from what is so anyway.
OTHER = {
    ("The file", "parts"): "{q: {}}",
    ("The file", "steps"): "[{id: t, do: Do}]",
    ("The file", "energies"): "{e: {signal: danger, safe_when: f, otherwise: O}}",
    ("The file", "fasteners"): "{n: {}}",
    ("The file", "lines"): "{l: {joins: p}}",
    ("The file", "cautions"): "{c: {signal: danger, text: C}}",
    ("The file", "sayings"): "{x: {ask: A, say: S}}",
    ("The file", "faults"): "{x: {symptom: S, causes: {a: A}, checks: {}}}",
    ("The file", "tooling"): "{x: {step: s, right: R, because: B}}",
    ("The file", "figures"): "{x: {ask: A, by: convert, given: {value: 1 m}, units: mm}}",
    ("The file", "sights"): "{x: {during: s, sight: S, do: stop, how: H}}",
    ("The file", "shapes"): "{p: {at: 1}}",
    ("The file", "station"): "{pieces: {a: {}}}",
}
# What a key needs beside it to count.
BESIDE = {
    "signal": "because",
    "turned": "faces",
}


def lines_of(values: dict[str, str], indent: int) -> str:
    return "".join(f"{' ' * indent}{key}: {value}\n" for key, value in values.items())


def module_with(title: str, values: dict[str, str]) -> Module:
    """A module that has nothing but one block with these keys."""
    head = dict(SPARSE["The file"])
    if title in PLACES:
        before, _, rest = PLACES[title].rpartition("{")
        text = lines_of(head, 0) + before + lines_of(values, int(rest.rstrip("}")))
    elif title == "The file":
        text = lines_of(head | values, 0)
    else:
        place = f"{title}:\n  x:\n" if title != "steps" else "steps:\n  -\n"
        body = lines_of(values, 4)
        table, _, inner = title.partition(": ")
        if inner:
            place = f"{table}:\n  x:\n" + ("" if table == "shapes" else "    name: X\n")
            body = f"    {inner}:\n{lines_of(values, 6)}"
        head.pop(table, None)
        text = lines_of(head, 0) + place + body
    tree = source.read(text, "m.yaml")
    module = build(tree, {})
    assert module.problems == (), (text, module.problems)
    return module


def content(module: Module) -> dict[str, Any]:
    where = ("places", "references", "problems", "canonical", "revision", "file")
    return {field.name: getattr(module, field.name) for field in fields(module) if field.name not in where}


@pytest.mark.parametrize(("title", "key"), EVERY_KEY)
def test_every_key_changes_the_module(title: str, key: Key) -> None:
    base = dict(SPARSE[title])
    if key.name in BESIDE and title in ("steps", "parts"):
        beside = dict(keys.BLOCKS)[title].by_name[BESIDE[key.name]]
        base[beside.name] = beside.example
    if title == "shapes: cuts" and key.name not in ("r", "x"):
        base["r"] = "[0, 1]"
    without = module_with(title, base)
    example = OTHER.get((title, key.name), key.example)
    assert base.get(key.name) != example
    assert content(module_with(title, base | {key.name: example})) != content(without)


def test_the_block_of_required_keys_is_complete() -> None:
    """Or the tests above would leave a key out that must be there."""
    for title, block in keys.BLOCKS:
        assert set(SPARSE[title]) == {key.name for key in block.keys if key.required}


def test_a_text_that_a_comma_cuts_in_braces_is_told_to_be_quoted() -> None:
    text = SMALL_VALVE.replace("do: Draw the piston,", "do: Draw the piston, slowly and straight,")
    (finding,) = library.read_module(text, "m.yaml").problems
    assert finding.code == "unknown-key"
    assert finding.place == Place("m.yaml", 1 + text[: text.index("slowly")].count("\n"), 43)
    assert "quote" in finding.mend


@pytest.mark.parametrize("empty", ["''", "'  '", "[a]", "{b: c}"])
@pytest.mark.parametrize(
    "where", ["make_safe: Make safe", "body_vented: The body reads zero and stays at zero"]
)
def test_a_text_that_is_none_leaves_a_name_made_of_the_id(where: str, empty: str) -> None:
    name = where.partition(":")[0]
    module = library.read_module(SMALL_VALVE.replace(where, f"{name}: {empty}"), "m.yaml")
    assert module.problems != ()
    title = module.phases[name].title if name in module.phases else module.facts[name].text
    assert title == name.replace("_", " ").capitalize()
