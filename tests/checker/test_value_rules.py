"""Rules about values: sizes, torques, orders of bolts, masses, forces."""

from __future__ import annotations

import pytest

from tests.checker.samples import findings, told


def codes(text: str) -> list[str]:
    return [finding.code for finding in findings(text)]


# -- sizes ---------------------------------------------------------------------------------------------------


def test_every_kind_of_value_by_size_is_looked_at() -> None:
    text = """\
facts: {vented: The body is vented}
energies:
  gas: {signal: notice, safe_when: vented, otherwise: It hisses, pressure: {DN 50: 8 bar}, acts_on: {DN 50: 80 mm}}
parts:
  body: {contains: gas, mass: {DN 50: 6 kg}, count: {DN 50: 1}}
fasteners:
  nut:
    clamp: body
    count: {DN 50: 8}
    thread: {DN 50: M12}
    torque: {DN 50: 60 N·m}
    order: {DN 50: [1, 5, 3, 7, 2, 6, 4, 8]}
    castle: {slots: 6, rule: tighten_to_next_slot, torque_max: {DN 50: 70 N·m}, drag: {DN 50: 2 N·m}}
"""
    found = [what.partition(" has")[0] for code, what in told(text) if code == "size-without-value"]
    assert found == [
        "`pressure` of `gas`",
        "`acts_on` of `gas`",
        "`mass` of `body`",
        "`count` of `body`",
        "`count` of `nut`",
        "`thread` of `nut`",
        "`torque` of `nut`",
        "`order` of `nut`",
        "`castle.torque_max` of `nut`",
        "`castle.drag` of `nut`",
    ]


def test_a_value_that_cannot_be_read_is_not_missing_as_well() -> None:
    assert codes("parts:\n  body: {mass: {DN 50: 6 kg, DN 80: heavy}}\n") == ["unit"]


def test_all_missing_sizes_are_told_together() -> None:
    text = "sizes: [DN 50, DN 80, DN 100]\nparts:\n  body: {mass: {DN 50: 6 kg}}\n"
    assert told(text) == [("size-without-value", "`mass` of `body` has no value for `DN 80` and `DN 100`.")]


def test_a_file_without_sizes_is_told_once_and_not_at_every_value() -> None:
    assert codes("sizes: []\nparts:\n  body: {mass: {DN 50: 6 kg}}\n") == ["nothing-in-it"]


@pytest.mark.parametrize("key", ["sizes", "steps", "parts"])
def test_an_empty_table_is_told_and_an_unreadable_one_not_twice(key: str) -> None:
    assert codes(f"{key}: {'{}' if key == 'parts' else '[]'}\n") == ["nothing-in-it"]
    assert codes(f"{key}: {'[]' if key == 'parts' else '{}'}\n") == ["wrong-value"]


# -- fasteners -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("passes", "trouble"),
    [
        ("[30 %, 60 %, 100 %, round]", ""),
        ("[100 %]", ""),
        ("[100 %, round, round]", ""),
        ("[60 %, 30 %, 100 %]", "do not rise: 30 % comes after 60 %"),
        ("[30 %, 30 %, 100 %]", "do not rise: 30 % comes after 30 %"),
        ("[30 %, 60 %]", "end at 60 %"),
        ("[round]", "go `round` at full torque when only 0 % is reached"),
        ("[30 %, round, 100 %]", "go `round` at full torque when only 30 % is reached"),
        ("[100 %, round, 100 %]", "go back to 100 % after `round`"),
    ],
)
def test_passes_rise_to_the_whole_torque(passes: str, trouble: str) -> None:
    found = told(f"fasteners:\n  nuts: {{clamp: body, torque: 95 N·m, passes: {passes}}}\n")
    assert found == ([("passes-not-rising", f"The passes of `nuts` {trouble}.")] if trouble else [])


@pytest.mark.parametrize(
    ("order", "trouble"),
    [
        ("[1, 3, 2, 4]", ""),
        ("[1, 3, 3, 4]", " names bolt 3 twice"),
        ("[1, 3, 2, 5]", " names bolt 5, but there are only 4"),
        ("[1, 3]", " leaves out bolts 2 and 4 of 4"),
    ],
)
def test_an_order_names_each_bolt_once(order: str, trouble: str) -> None:
    found = told(f"fasteners:\n  nuts: {{clamp: body, count: 4, torque: 95 N·m, order: {order}}}\n")
    assert found == (
        [("order-not-every-bolt", f"The tightening order of `nuts`{trouble}.")] if trouble else []
    )


def test_one_order_for_all_sizes_must_fit_the_count_of_each() -> None:
    text = "fasteners:\n  nuts: {clamp: body, count: {DN 50: 4, DN 80: 6}, torque: 95 N·m, order: [1, 3, 2, 4]}\n"
    assert told(text) == [
        (
            "order-not-every-bolt",
            "The tightening order of `nuts` at DN 80 leaves out bolts 5 and 6 of 6.",
        )
    ]


def test_the_printed_order_of_eight_bolts_is_a_cross_pattern() -> None:
    # ASME PCC-1 Legacy cross pattern for 8 bolts: 1-5-3-7-2-6-4-8 (as public copies print it).
    text = "fasteners:\n  nuts: {clamp: body, count: 8, torque: 95 N·m, pattern: cross, order: [1, 5, 3, 7, 2, 6, 4, 8]}\n"
    assert told(text) == []
    assert codes(text.replace("5, 3", "3, 5")) == ["cross-pattern-broken"]


def test_a_count_that_no_cross_pattern_serves_may_have_an_order_of_the_site() -> None:
    fastener = "fasteners:\n  nuts: {clamp: body, count: 5, torque: 95 N·m, pattern: cross"
    assert codes(f"{fastener}}}\n") == ["cross-pattern-impossible"]
    assert codes(f"{fastener}, order: [1, 3, 5, 2, 4]}}\n") == []


def test_the_ceiling_is_compared_size_by_size_and_across_units() -> None:
    text = """\
fasteners:
  nut:
    clamp: body
    torque: {DN 50: 30 N·m, DN 80: 60 N·m}
    castle: {slots: 6, rule: tighten_to_next_slot, torque_max: {DN 50: 38 N·m, DN 80: 38 lbf·ft}}
"""
    # 38 lbf·ft are 51.5 N·m.
    assert told(text) == [
        (
            "ceiling-below-target",
            "The ceiling of `nut` at DN 80 is 38 lbf·ft, below its torque of 60 N·m.",
        )
    ]


# -- masses --------------------------------------------------------------------------------------------------

# Waters, Putz-Anderson, Garg, Applications Manual for the Revised NIOSH Lifting Equation, DHHS (NIOSH) 94-110,
# sec. 1.3, p. 7: the load constant is 23 kg (51 lb).
LOAD_CONSTANT = 23
MOVED = """\
steps:
  - {id: a, do: Lift the cover, remove: cover}
  - {id: b, do: Lower the cover, install: cover}
"""


@pytest.mark.parametrize(("mass", "heavy"), [(LOAD_CONSTANT, False), (LOAD_CONSTANT + 0.1, True)])
def test_one_person_lifts_the_load_constant_and_no_more(mass: float, heavy: bool) -> None:
    text = f"parts:\n  cover: {{mass: {mass} kg}}\n{MOVED}"
    assert codes(text) == (["heavy-without-lift"] if heavy else [])


def test_what_comes_along_counts_together_and_the_heaviest_size_is_told() -> None:
    text = """\
parts:
  cover: {mass: {DN 50: 10 kg, DN 80: 15 kg}}
  cage: {mass: {DN 50: 8 kg, DN 80: 12 kg}}
steps:
  - {id: a, do: Lift the cover with the cage, remove: cover, with: cage}
  - {id: b, do: Lower the cover with the cage, install: cover, with: cage}
"""
    assert told(text) == [
        (
            "heavy-without-lift",
            "`cover` with `cage` weighs 27 kg at DN 80, more than the 23 kg that one person may lift.",
        )
    ]


def test_a_part_that_stays_where_it_is_may_weigh_what_it_will() -> None:
    assert codes("parts:\n  body: {fixed: true, mass: 120 kg}\n") == []


# -- numbers -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("numbers", "found"),
    [
        ("rate: 4 N/mm, compression: 0 mm", []),
        ("rate: 0 N/mm, compression: 40 mm", ["value-not-positive"]),
        ("pressure: -1 bar, acts_on: 80 mm", ["value-not-positive"]),
        ("pressure: 0 bar, acts_on: 80 mm", []),
        ("rate: 4 N/mm", ["force-half-given"]),
        ("acts_on: 80 mm", ["force-half-given"]),
        ("pressure: 8 bar, compression: 40 mm", ["force-half-given", "force-half-given"]),
    ],
)
def test_numbers_of_an_energy(numbers: str, found: list[str]) -> None:
    text = f"""\
facts: {{safe: It is safe}}
energies:
  force: {{signal: caution, safe_when: safe, otherwise: It flies, {numbers}}}
parts: {{cap: {{contains: force}}}}
steps:
  - {{id: a, do: Make it safe, makes: safe, caution: gas_under_pressure}}
"""
    assert codes(text) == found
