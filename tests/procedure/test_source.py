"""Reading YAML: places of everything, words stay words, and bad text gives findings and nothing else."""

from __future__ import annotations

import subprocess
import sys
from typing import TYPE_CHECKING

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.modules import SMALL_VALVE
from trainer.procedure import library, source
from trainer.procedure.findings import Place, Signal
from trainer.procedure.source import MAX_BYTES, MAX_DEPTH, MAX_NODES, Mapping, Scalar, Sequence, read

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.procedure.findings import Finding
    from trainer.procedure.source import Node


def tree(text: str | bytes) -> Mapping:
    got = read(text, "m.yaml")
    assert got.findings == ()
    assert got.root is not None
    return got.root


def only_finding(text: str | bytes) -> Finding:
    (finding,) = read(text, "m.yaml").findings
    assert finding.signal is Signal.ERROR
    assert finding.place.file == "m.yaml"
    assert finding.what.endswith(".")
    assert finding.mend.endswith(".")
    return finding


def at(finding: Finding) -> tuple[str, int, int]:
    return finding.code, finding.place.line, finding.place.column


def spots(node: Node) -> Iterator[tuple[str, int, int]]:
    """Every key and node with line and column, in the order of the file."""
    if isinstance(node, Scalar):
        yield node.text, node.place.line, node.place.column
    elif isinstance(node, Sequence):
        yield "[]", node.place.line, node.place.column
        for item in node.items:
            yield from spots(item)
    else:
        yield "{}", node.place.line, node.place.column
        for key, item, place in node.items():
            yield f"{key}:", place.line, place.column
            yield from spots(item)


# --- places ---


def test_every_key_and_node_has_its_place() -> None:
    text = """\
# a comment counts as a line
module: small-valve
parts:
  body: {fixed: true}

  seat_ring:   {rests_on: [seat_gasket, body]}
steps:
  - id: shut
    do: >
      Close and lock
      both run valves
  - {id: vent,
     do: Vent}
"""
    assert list(spots(tree(text))) == [
        ("{}", 2, 1),
        ("module:", 2, 1), ("small-valve", 2, 9),
        ("parts:", 3, 1), ("{}", 4, 3),
        ("body:", 4, 3), ("{}", 4, 9), ("fixed:", 4, 10), ("true", 4, 17),
        ("seat_ring:", 6, 3), ("{}", 6, 16), ("rests_on:", 6, 17), ("[]", 6, 27),
        ("seat_gasket", 6, 28), ("body", 6, 41),
        ("steps:", 7, 1), ("[]", 8, 3),
        ("{}", 8, 5), ("id:", 8, 5), ("shut", 8, 9),
        ("do:", 9, 5), ("Close and lock both run valves\n", 9, 9),
        ("{}", 12, 5), ("id:", 12, 6), ("vent", 12, 10), ("do:", 13, 6), ("Vent", 13, 10),
    ]  # fmt: skip


def test_columns_count_characters_not_bytes() -> None:
    assert list(spots(tree("torque: {größe: 60 N·m, next: 1}\n")))[-2:] == [("next:", 1, 25), ("1", 1, 31)]


def test_a_place_prints_as_editors_jump_to_it() -> None:
    assert str(Place("m.yaml", 4, 17)) == "m.yaml:4:17"


def test_lines_of_windows_and_of_old_macs_are_counted() -> None:
    for text in ("a: 1\r\nb:\r\n  - c\r\n", "a: 1\rb:\r  - c\r", "a: 1\nb:\n  - c\n"):
        assert list(spots(tree(text)))[3:] == [("b:", 2, 1), ("[]", 3, 3), ("c", 3, 5)]


def test_a_byte_order_mark_is_passed_over() -> None:
    for text in ("\ufeffa: b\n", "\ufeffa: b\n".encode(), b"a: b\n"):
        assert list(spots(tree(text))) == [("{}", 1, 1), ("a:", 1, 1), ("b", 1, 4)]


# --- words ---

WORDS = [
    "on", "off", "no", "yes", "y", "n", "true", "False", "null", "1:30", "012", "0x1F", "0o17", "1_000", "1e3",
    ".inf", ".nan", "2024-01-02", "2024-01-02 10:00:00", "=", "5", "0.10", "DN 50", "60 N·m", "30 %",
]  # fmt: skip


@pytest.mark.parametrize("word", WORDS)
def test_words_stay_words(word: str) -> None:
    root = tree(f"{word}: {word}\nlist: [{word}, x]\n")
    assert list(root.entries) == [word, "list"]
    first, listed = root.entries.values()
    assert isinstance(first, Scalar)
    assert (first.text, first.quoted) == (word, False)
    assert isinstance(listed, Sequence)
    assert [item.text for item in listed.items if isinstance(item, Scalar)] == [word, "x"]


def test_quotes_are_told() -> None:
    texts = [node for _, node, _ in tree("a: 'on'\nb: \"on\"\nc: on\nd: |\n  on\n").items()]
    assert [node.quoted for node in texts if isinstance(node, Scalar)] == [True, True, False, True]
    assert [node.text for node in texts if isinstance(node, Scalar)] == ["on", "on", "on", "on\n"]


@pytest.mark.parametrize(("written", "empty"), [
    ("", True), ("~", True), ("null", True), ("''", False), ("'~'", False), ('"null"', False), ("nil", False),
])  # fmt: skip
def test_nothing_written_is_empty(written: str, empty: bool) -> None:
    node = tree(f"a: {written}\n").entries["a"]
    assert isinstance(node, Scalar)
    assert node.is_empty is empty


def test_a_merge_key_is_a_key_like_any_other() -> None:
    assert list(tree("a:\n  <<: {b: 1}\n").entries["a"].entries) == ["<<"]  # type: ignore[union-attr]


# --- two of a kind ---


def test_of_two_equal_keys_the_first_counts_and_the_second_is_told() -> None:
    text = "facts:\n  shut: first\n  'shut': second\n  shut: third\nmore: 1\n"
    got = read(text, "m.yaml")
    assert [at(finding) for finding in got.findings] == [("duplicate-key", 3, 3), ("duplicate-key", 4, 3)]
    assert all("line 2" in finding.what for finding in got.findings)
    assert got.root is not None
    assert list(spots(got.root))[3:5] == [("shut:", 2, 3), ("first", 2, 9)]
    assert "more" in got.root.entries


def test_equal_keys_in_different_blocks_are_fine() -> None:
    tree("a: {x: 1}\nb: {x: 1}\n")


@pytest.mark.parametrize(("text", "place"), [
    ("? [a, b]\n: 1\nc: 2\n", (1, 3)),
    ("{[a]: 1, c: 2}\n", (1, 2)),
    ("{a: 1}: 2\nc: 3\n", (1, 1)),
])  # fmt: skip
def test_a_key_must_be_a_word(text: str, place: tuple[int, int]) -> None:
    finding = only_finding(text)
    assert at(finding) == ("yaml", *place)
    root = read(text, "m.yaml").root
    assert root is not None
    assert list(root.entries) == ["c"]


# --- what is not part of the language ---


def test_anchors_and_aliases_are_told_where_they_stand() -> None:
    text = "a: &here {b: 1}\nc: *here\nd: &unused 2\ne: *nowhere\n"
    findings = read(text, "m.yaml").findings
    assert [at(finding) for finding in findings] == [
        ("yaml", 1, 4), ("yaml", 2, 4), ("yaml", 3, 4), ("yaml", 4, 4),
    ]  # fmt: skip


def test_a_bomb_of_nine_levels_does_not_go_off() -> None:
    """Nine levels of nine aliases each would be 9^9 = 387,420,489 words."""
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 9)}]" for i in range(1, 9)]
    got = read("\n".join(lines), "bomb.yaml")
    assert got.root is not None
    assert len(list(spots(got.root))) == 1 + 9 * (1 + 1 + 9)
    assert len(got.findings) == 9 + 8 * 9


def test_a_list_that_holds_itself_ends() -> None:
    assert len(read("a: &a [*a, &b [*a, *b]]\n", "m.yaml").findings) == 5


@pytest.mark.parametrize("tag", ["!!python/object/apply:os.system", "!thing", "!!int", "!!str", "!"])
def test_tags_are_refused_and_the_value_is_kept(tag: str) -> None:
    finding = only_finding(f"a: {tag} 5\n")
    assert at(finding) == ("yaml", 1, 4)
    assert tag.lstrip("!") in finding.what
    root = read(f"a: {tag} 5\n", "m.yaml").root
    assert root is not None
    assert isinstance(root.entries["a"], Scalar)
    assert root.entries["a"].text == "5"


# --- text that is no YAML ---

BROKEN = {
    "a tab as indentation": ("a:\n\tb: 1\n", 2, 1),
    "a tab after blanks": ("a:\n  b: 1\n \tc: 2\n", 3, 2),
    "a quote left open": ('a: 1\nb: "x\nc: 3\n', 4, 1),
    "a bracket left open": ("a: [x\nb: 1\n", 2, 2),
    "a brace left open": ("a: {x: 1\n", 2, 1),
    "a bracket too many": ("a: x]\nb: ]\n", 2, 4),
    "a colon too many": ("a: b: c\n", 1, 5),
    "a line too far left": ("a:\n    b: 1\n  c: 2\n", 3, 3),
    "a list among keys": ("a: 1\n- b\n", 2, 1),
    "a word after a quote": ("a: 'b' c\n", 1, 8),
    "a percent at the start": ("a: 1\nb: %x\n", 2, 4),
    "an escape that is none": ('a: "\\q"\n', 1, 5),
}


@pytest.mark.parametrize("case", BROKEN)
def test_broken_text_is_told_with_its_place(case: str) -> None:
    text, line, column = BROKEN[case]
    finding = only_finding(text)
    assert (finding.code, finding.place.line) == ("yaml", line)
    # The two loaders look a character or two further in some cases.
    assert abs(finding.place.column - column) <= 1
    assert read(text, "m.yaml").root is None


def test_a_tab_is_called_a_tab() -> None:
    assert only_finding("a:\n\tb: 1\n").what == "This line is indented with a tab."


def test_what_was_left_open_is_told_with_the_line_where_it_begins() -> None:
    assert "(begun at line 2)" in only_finding('a: 1\nb: "x\nc: 3\nd: 4\n').what


@pytest.mark.parametrize("text", ["", " \n\n", "# nothing but words\n", b"", b"\xef\xbb\xbf"])
def test_an_empty_file_is_told(text: str | bytes) -> None:
    finding = only_finding(text)
    assert finding.code == "yaml"
    assert finding.place.line == 1


@pytest.mark.parametrize("text", ["- a\n- b\n", "just words\n", "[a, b]\n", "'quoted'\n", "5\n"])
def test_the_file_must_be_a_block_of_keys(text: str) -> None:
    finding = only_finding(text)
    assert at(finding) == ("yaml", 1, 1)
    assert "list of keys" in finding.what


@pytest.mark.parametrize("text", ["a: 1\n---\nb: 2\n", "---\na: 1\n---\nb: 2\n", "a: 1\n...\n---\nb: 2\n"])
def test_a_second_document_is_told(text: str) -> None:
    finding = only_finding(text)
    assert finding.what == "A second document starts here."
    assert finding.place.line == text[: text.rindex("---")].count("\n") + 1


@pytest.mark.parametrize(("data", "place"), [
    (b"a: 1\nb: xy\xe4z\n", (2, 6)),
    (b"\xef\xbb\xbfa: \xff\n", (1, 4)),
    ("größe: ".encode() + b"\xfc\n", (1, 8)),
    ("a: 1\n".encode("utf-16"), (1, 1)),
    (b"\xc3", (1, 1)),
])  # fmt: skip
def test_what_is_not_utf8_is_told_with_its_place(data: bytes, place: tuple[int, int]) -> None:
    finding = only_finding(data)
    assert at(finding) == ("yaml", *place)
    assert "UTF-8" in finding.what


@pytest.mark.parametrize(
    "character", ["\0", "\a", "\x1b", "\x7f", "\x85", "\u2028", "\u2029", "\ufeff", "\ud800", "\uffff"]
)
def test_what_does_not_print_is_told_with_its_place(character: str) -> None:
    finding = only_finding(f"ä: 1\r\nb: xy{character}z\n")
    assert at(finding) == ("yaml", 2, 6)
    assert f"U+{ord(character):04X}" in finding.what


@pytest.mark.parametrize("escape", [r"\0", r"\x07", r"\N", r"\L", r"\ud800", r"\UFFFFFFFF", r"\U00110000"])
def test_nor_may_it_be_written_as_an_escape(escape: str) -> None:
    finding = only_finding(f'a: "x{escape}"\n')
    assert (finding.code, finding.place.line) == ("yaml", 1)


def test_printable_escapes_are_read() -> None:
    assert list(spots(tree('a: "N\\u00b7m\\t\\"x\\""\n')))[-1] == ('N·m\t"x"', 1, 4)


# --- size and depth ---


def test_a_file_of_three_megabytes_is_refused() -> None:
    for text in ("a: 1\n#" + "x" * 3_000_000, b"a: 1\n#" + b"x" * 3_000_000):
        assert at(only_finding(text)) == ("yaml", 1, 1)
        assert f"{MAX_BYTES:,}" in only_finding(text).what


def test_a_file_of_too_many_values_is_refused() -> None:
    text = "a: [" + "x," * MAX_NODES + "x]"
    assert len(text) < MAX_BYTES
    assert f"{MAX_NODES:,}" in only_finding(text).what


def nested(levels: int) -> str:
    return "a: " + "[" * (levels - 2) + "x" + "]" * (levels - 2) + "\n"


def test_depth_is_counted_exactly() -> None:
    assert read(nested(MAX_DEPTH), "m.yaml").findings == ()
    assert "levels deep" in only_finding(nested(MAX_DEPTH + 1)).what


DEEP = {
    "brackets left open": "'a: ' + '[' * 100_000",
    "brackets": "'a: ' + '[' * 100_000 + ']' * 100_000",
    "braces and brackets": "'a: ' + '[{a: ' * 50_000",
    "lists in one line": "'- ' * 100_000 + 'x'",
    "questions in one line": "'? ' * 100_000 + 'x'",
    "lists and questions": "'- ? ' * 50_000 + 'x'",
    "blocks": r"''.join(' ' * i + 'a:\n' for i in range(1500))",
    "lists of blocks": r"''.join(' ' * i + '- a:\n' for i in range(0, 1900, 2))",
    "key after key": "'a: ' * 100_000",
}


@pytest.mark.parametrize("case", DEEP)
def test_deep_nesting_is_a_finding(case: str) -> None:
    text: str = eval(DEEP[case])  # noqa: S307 - the expressions above, kept short for the test of a fresh process
    assert only_finding(text).code == "yaml"


@pytest.mark.parametrize("loader", ["CSafeLoader", "SafeLoader"])
def test_deep_nesting_leaves_the_interpreter_alive(loader: str) -> None:
    """A crash in C would take the whole test run with it, so it is looked for in a process of its own."""
    if not hasattr(yaml, loader):
        pytest.skip("PyYAML is built without its C part")
    script = f"""
import yaml
from trainer.procedure import source
source._Loader = yaml.{loader}
for text in ({", ".join(DEEP.values())}):
    print(len(source.read(text, "m.yaml").findings))
"""
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)  # noqa: S603
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.split() == ["1"] * len(DEEP)


# --- the two loaders ---


@pytest.fixture
def in_python(monkeypatch: pytest.MonkeyPatch) -> None:
    if not hasattr(yaml, "CSafeLoader"):
        pytest.skip("PyYAML is built without its C part")
    monkeypatch.setattr(source, "_Loader", yaml.SafeLoader)


def everything(text: str | bytes) -> list[tuple[str, int, int]]:
    got = read(text, "m.yaml")
    assert got.root is not None
    return [*spots(got.root), *(at(finding) for finding in got.findings)]


SAMPLES = {
    "small valve": SMALL_VALVE,
    "styles": "a: |\n  one\n  two\nb: >-\n  x\n\n  y\n'c d': \"e\n  f\"\ng:\n- h\n-\n  - i\n? j\n: k\nl:\nm: ''\n",
    "flow": "{a: [b, {c: d}, 'e'], \"g\": {}, h: [ ]\n , i}\n",
    "trouble": "a: &x 1\na: *x\nb: !t [c, {d: 1, d: 2}]\n? [e]\n: f\n",
    "wide characters": "größe: {äöü: 'ß', 漢字: x, 🔧: y}\nlast: 1\n",
    **{name: path.read_text(encoding="utf-8") for name, path in library.shipped_procedures().items()},
}


@pytest.mark.parametrize("name", SAMPLES)
def test_both_loaders_agree_on_all_places(name: str, request: pytest.FixtureRequest) -> None:
    with_c = everything(SAMPLES[name])
    request.getfixturevalue("in_python")
    assert everything(SAMPLES[name]) == with_c


@pytest.mark.parametrize("case", BROKEN)
@pytest.mark.usefixtures("in_python")
def test_the_python_loader_tells_broken_text_at_the_same_line(case: str) -> None:
    text, line, _ = BROKEN[case]
    finding = only_finding(text)
    assert (finding.code, finding.place.line) == ("yaml", line)


# --- anything at all ---


@settings(max_examples=150, deadline=None, derandomize=True)
@given(
    st.one_of(
        st.text(max_size=60),
        st.text(alphabet="ab:-[]{}#&*!|>'\"%@`,? \n\t", max_size=60),
        st.binary(max_size=40),
    )
)
def test_any_text_gives_a_tree_or_a_finding(text: str | bytes) -> None:
    got = read(text, "m.yaml")
    assert got.root is not None or got.findings
    for finding in got.findings:
        assert finding.place.line >= 1
        assert finding.place.column >= 1
