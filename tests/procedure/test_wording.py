"""Names inside sentences."""

from __future__ import annotations

import pytest

from trainer.procedure.wording import Thing, capital, form, full_stop, in_sentence, is_plural, listed, the


@pytest.mark.parametrize(("name", "inside"), [
    ("Cover nuts", "cover nuts"),
    ("cover nuts", "cover nuts"),
    ("O-ring", "O-ring"),
    ("PG-31 reads zero", "PG-31 reads zero"),
    ("HV-15 is shut", "HV-15 is shut"),
    ("M16 nut", "M16 nut"),
    ("A valve stands open", "a valve stands open"),
    ("X", "x"),
    ("", ""),
    ("Öl", "öl"),
])  # fmt: skip
def test_a_name_inside_a_sentence(name: str, inside: str) -> None:
    assert in_sentence(name) == inside
    assert the(name) == f"the {inside}"


@pytest.mark.parametrize(
    ("text", "told"), [("the cover", "The cover"), ("O-ring", "O-ring"), ("", ""), ("über", "Über")]
)
def test_a_capital_at_the_start_leaves_the_rest(text: str, told: str) -> None:
    assert capital(text) == told
    assert capital("the PG-31") == "The PG-31"


@pytest.mark.parametrize(("name", "plural"), [
    ("Cover nuts", True), ("Nut", False), ("Compass", False), ("Boss", False), ("Bosses", True), ("Piston", False),
    ("", False), ("Gas", True),  # as far as the last letters tell
])  # fmt: skip
def test_the_last_letters_tell_a_plural(name: str, plural: bool) -> None:
    assert is_plural(name) is plural
    assert form(name, "is", "are") == ("are" if plural else "is")


@pytest.mark.parametrize(("text", "told"), [
    ("It blows", "It blows."), ("It blows.", "It blows."), ("Look!", "Look!"), ("Is it shut?", "Is it shut?"),
    ("  It blows ", "It blows."), ("", "."),
])  # fmt: skip
def test_a_sentence_ends_with_one_full_stop(text: str, told: str) -> None:
    assert full_stop(text) == told
    assert full_stop(full_stop(text)) == told


@pytest.mark.parametrize(("names", "told"), [
    ([], ""), (["a"], "a"), (["a", "b"], "a and b"), (["a", "b", "c"], "a, b and c"),
])  # fmt: skip
def test_names_are_listed(names: list[str], told: str) -> None:
    assert listed(names) == told


def test_a_thing_does_what_its_number_asks_for() -> None:
    nuts, cover = Thing("Cover nuts"), Thing("Cover")
    assert (str(nuts), nuts.it) == ("the cover nuts", "them")
    assert (str(cover), cover.it) == ("the cover", "it")
    assert nuts.does("hold", "the cover") == "the cover nuts hold the cover"
    assert cover.does("hold", "it", "down") == "the cover holds it down"
    assert [cover.form(verb) for verb in ("are", "have", "go", "do", "come")] == [
        "is",
        "has",
        "goes",
        "does",
        "comes",
    ]
    assert [nuts.form(verb) for verb in ("are", "have", "go", "do", "come")] == [
        "are",
        "have",
        "go",
        "do",
        "come",
    ]
