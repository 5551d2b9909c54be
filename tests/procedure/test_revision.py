"""The name of a revision: what changes it and what does not."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from typing import Any

import pytest
import rfc8785
import yaml
from hypothesis import example, given
from hypothesis import strategies as st

from tests.modules import SMALL_VALVE
from trainer.procedure import library
from trainer.procedure.model import Caution, Hazard
from trainer.procedure.revision import _in_order, canonical, revision, short, written
from trainer.procedure.shared_tables import SharedTables
from trainer.procedure.source import read

ISOLATE = Caution("isolate", Hazard.DANGER, "Gas is under pressure.")
SHARED = SharedTables(cautions={"isolate": ISOLATE, "pinch": Caution("pinch", Hazard.CAUTION, "Fingers.")})
BORROWING = SMALL_VALVE.replace("caution: trapped_gas}", "caution: [trapped_gas, isolate]}", 1)


def name_of(text: str | bytes, shared: SharedTables = SHARED) -> str:
    return library.read_module(text, "m.yaml", shared).revision


def changed(old: str, new: str, text: str = SMALL_VALVE) -> str:
    assert old in text
    return name_of(text.replace(old, new, 1))


def test_the_name_of_the_small_valve() -> None:
    """Kept attempts and records name the revision; if this changes, all of them lose what they belong to.

    A change here is right only when the text of the small valve itself has been changed on purpose.
    """
    assert name_of(SMALL_VALVE) == "3327077e222ee4798efff279407221aba83a9be7f8977f0dcc011f8ff6ca118f"


def test_the_name_is_the_hash_of_the_canonical_form() -> None:
    module = library.read_module(SMALL_VALVE, "m.yaml", SHARED)
    assert module.revision == hashlib.sha256(module.canonical).hexdigest() == revision(module.canonical)
    assert short(module.revision) == module.revision[:10]


_TEXT = st.text()


@given(st.recursive(_TEXT, lambda inner: st.lists(inner) | st.dictionaries(_TEXT, inner), max_leaves=20))
@example({"\uff5e": "a", "\U0001f600": "b", "\x7f\x1f\u2028": ['"\\/\b\f\n\r\t']})
def test_the_form_is_that_of_rfc_8785(value: Any) -> None:
    """Held to the library rfc8785; UTF-16 puts U+1F600 before U+FF5E, which the order of characters does not."""

    def in_order(one: Any) -> Any:
        if isinstance(one, list):
            return [in_order(item) for item in one]
        return (
            _in_order({name: in_order(item) for name, item in one.items()}) if isinstance(one, dict) else one
        )

    assert written(in_order(value)) == rfc8785.dumps(value)


# --- the same content ---


def test_layout_does_not_count() -> None:
    """The same values, written out in blocks by another hand, with the keys of each block in another order."""
    tree = yaml.load(SMALL_VALVE, Loader=yaml.BaseLoader)  # noqa: S506 - it makes nothing but texts
    for style in (True, False, None):
        text = yaml.safe_dump(tree, sort_keys=False, allow_unicode=True, default_flow_style=style)
        # Numbers and flags come out in quotes, which do not count here.
        assert name_of(text) == name_of(SMALL_VALVE)


@pytest.mark.parametrize(("old", "new"), [
    ("title: Overhaul", "# by another hand\ntitle:   'Overhaul"),
    ("id: shut, do: Close and lock both run valves", "do: \"Close  and lock\n    both run valves\", id: shut"),
    ("{DN 50: 8, DN 80: 8, DN 100: 12}", "{DN 100: 12, DN 80: 8, DN 50: 8}"),
    ("sizes: [DN 50, DN 80, DN 100]", "sizes:\n- DN 50\n- DN 80\n- 'DN 100'"),
])  # fmt: skip
def test_comments_quotes_spacing_and_the_order_of_keys_do_not_count(old: str, new: str) -> None:
    text = SMALL_VALVE.replace(old, new, 1)
    text = text.replace("   'Overhaul a small invented valve", "   'Overhaul a small invented valve'")
    assert text != SMALL_VALVE
    assert library.read_module(text, "m.yaml", SHARED).problems == ()
    assert name_of(text) == name_of(SMALL_VALVE)


def test_the_name_of_the_file_and_its_encoding_do_not_count() -> None:
    crlf = b"\xef\xbb\xbf" + SMALL_VALVE.replace("\n", "\r\n").encode()
    assert library.read_module(crlf, "other.yaml", SHARED).revision == name_of(SMALL_VALVE)


def test_a_shared_caution_that_is_not_named_does_not_count() -> None:
    other = replace(SHARED, cautions={**SHARED.cautions, "pinch": Caution("pinch", Hazard.NOTICE, "Hands.")})
    assert name_of(BORROWING, other) == name_of(BORROWING)


def test_the_order_of_keys_at_the_top_does_not_count() -> None:
    lines = SMALL_VALVE.split("document: TEST-0001\n")
    assert name_of("".join(lines) + "document: TEST-0001\n") == name_of(SMALL_VALVE)


# --- other content ---


@pytest.mark.parametrize(("old", "new"), [
    ("DN 80: 95 N·m", "DN 80: 110 N·m"),
    ("DN 80: 95 N·m", "DN 80: 95.0 N·m"),
    ("title: Overhaul a", "title: Overhaul the"),
    ("  body: {fixed: true}\n", ""),
    ("do: Draw the piston", "do: Draw the Piston"),
    ("needs: run_shut, ", ""),
    ("passes: [30 %, 60 %, 100 %, round]", "passes: [60 %, 30 %, 100 %, round]"),
    ("sizes: [DN 50, DN 80, DN 100]", "sizes: [DN 80, DN 50, DN 100]"),
    ("Watch the gauge until", "Watch both gauges until"),
])  # fmt: skip
def test_any_other_word_is_another_revision(old: str, new: str) -> None:
    assert changed(old, new) != name_of(SMALL_VALVE)


@pytest.mark.parametrize(("line", "before"), [
    ("  guide_cage: {rests_on: [seat_ring]}\n", "fasteners:\n"),  # a part
    ("  cap_screws: {clamp: [spring_cap], count: 4, torque: 22 N·m}\n", "  bonnet_studs:\n"),  # a fastener
    ("  inspect: Inspect and renew\n", "facts:\n"),  # a phase
    ("  - {id: relax, do: Back the spring off, phase: make_safe, needs: run_shut, makes: spring_backed_off, caution: spring}\n",
     "  - {id: cap_off, "),  # a step
])  # fmt: skip
def test_the_order_of_tables_counts_because_item_numbers_follow_it(line: str, before: str) -> None:
    assert line in SMALL_VALVE
    text = SMALL_VALVE.replace(line, "").replace(before, line + before)
    assert text != SMALL_VALVE
    assert name_of(text) != name_of(SMALL_VALVE)


def test_a_shared_caution_that_is_named_counts() -> None:
    for other in (replace(ISOLATE, text="Gas stands here."), replace(ISOLATE, signal=Hazard.WARNING)):
        tables = replace(SHARED, cautions={**SHARED.cautions, "isolate": other})
        assert name_of(BORROWING, tables) != name_of(BORROWING)
        assert name_of(SMALL_VALVE, tables) == name_of(SMALL_VALVE)


def test_a_caution_of_the_file_stands_before_a_shared_one_of_the_same_name() -> None:
    tables = replace(SHARED, cautions={"trapped_gas": ISOLATE})
    assert name_of(SMALL_VALVE, tables) == name_of(SMALL_VALVE)


# --- the form ---


def test_the_form_read_again_is_the_same() -> None:
    """RFC 8785: sorted keys, no spaces, UTF-8; so the form of its own content is itself."""
    form = library.read_module(BORROWING, "m.yaml", SHARED).canonical
    content = json.loads(form)
    again = json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert again.encode() == form
    assert content["shared_cautions"] == {"isolate": {"signal": "danger", "text": "Gas is under pressure."}}
    assert content["procedure"]["fasteners"][0][0] == "bonnet_studs"
    assert content["procedure"]["fasteners"][0][1]["torque"]["DN 80"] == "95 N·m"
    assert [step["id"] for step in content["procedure"]["steps"]][:3] == ["shut", "vent", "relax"]


def test_keys_are_sorted_by_utf16_units_as_the_standard_wants() -> None:
    """RFC 8785, 3.2.3: U+1F600 begins with the surrogate D83D and so sorts before U+FB33."""
    root = read('summary: {"\ufb33": 1, "\U0001f600": 2, "a": 3}\n', "m.yaml").root
    assert canonical(root, ()).decode().index("\U0001f600") < canonical(root, ()).decode().index("\ufb33")


@pytest.mark.parametrize("text", ["", "- a\n", "a: [\n", b"\xff", "{}\n"])
def test_a_file_without_content_has_no_name(text: str | bytes) -> None:
    module = library.read_module(text, "m.yaml", SHARED)
    assert (module.canonical, module.revision) == (b"", "")
