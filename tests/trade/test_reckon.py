"""The register of named computations: each runs on its own example, refuses in one sentence, survives JSON."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest

from trainer.errors import TrainerError
from trainer.trade.reckon import RECKONINGS, ReckoningUnknown, reckon
from trainer.trade.reckoning import InputMissing, InputRefused, InputUnknown, InputUnreadable, Kind
from trainer.trade.units import units_of

if TYPE_CHECKING:
    from trainer.trade.reckoning import Reckoning

ALL = list(RECKONINGS.values())
NAMES = list(RECKONINGS)


@pytest.mark.parametrize("name", NAMES)
def test_each_does_its_own_example_in_the_fixed_shape(name: str) -> None:
    reckoning = RECKONINGS[name]
    data = json.loads(json.dumps(reckoning.run(reckoning.example).as_data()))
    assert list(data) == ["name", "inputs", "result", "formula", "source", "notes"]
    assert list(data["result"]) == ["value", "unit"]
    assert data["name"] == name
    assert data["result"]["value"] not in ("", [], None)
    assert data["formula"]
    assert data["source"]
    assert set(reckoning.example) <= set(data["inputs"])


@pytest.mark.parametrize("name", NAMES)
def test_what_was_understood_gives_the_same_answer_again(name: str) -> None:
    reckoning = RECKONINGS[name]
    first = reckoning.run(reckoning.example)
    again = reckoning.run(first.inputs)
    assert again.value == first.value
    assert again.inputs == first.inputs


@pytest.mark.parametrize("name", NAMES)
def test_each_input_left_out_is_asked_for(name: str) -> None:
    reckoning = RECKONINGS[name]
    for entry in reckoning.inputs:
        if entry.required:
            short = {key: text for key, text in reckoning.example.items() if key != entry.key}
            with pytest.raises(InputMissing, match=f"'{name}' needs .*{entry.key}=…"):
                reckoning.run(short)


def _outcome(reckoning: Reckoning, values: dict[str, str]) -> str:
    """Return the answer as JSON, or the sentence that refuses it."""
    try:
        return json.dumps(reckoning.run(values).as_data(), allow_nan=False)
    except TrainerError as refusal:
        return str(refusal)


NONSENSE = ["nonsense", "-1e9 parsec", "5 kg, 3", "0", "-1 N·m", "99999999999", "1,2,", "=", "½"]


@pytest.mark.parametrize("name", NAMES)
def test_nonsense_in_any_input_gives_one_sentence_or_an_answer(name: str) -> None:
    reckoning = RECKONINGS[name]
    for entry in reckoning.all_inputs:
        for text in NONSENSE:
            outcome = _outcome(reckoning, {**reckoning.example, entry.key: text})
            assert outcome
            assert "\n" not in outcome


@pytest.mark.parametrize("name", NAMES)
def test_zero_negative_and_huge_of_the_right_unit_give_one_sentence_or_an_answer(name: str) -> None:
    reckoning = RECKONINGS[name]
    for entry in reckoning.inputs:
        if isinstance(entry.what, Kind):
            tries = ["0", "-1", "1e9", "0, 0", "-3, -4"]
        else:
            dimension = entry.what[0] if isinstance(entry.what, tuple) else entry.what
            tries = [
                f"{value} {units_of(dimension)[0]}" for value in ("0", "-1", "1e9", "1e30", "0.000000001")
            ]
        for text in tries:
            outcome = _outcome(reckoning, {**reckoning.example, entry.key: text})
            assert outcome
            assert "\n" not in outcome


@pytest.mark.parametrize(
    ("name", "values", "value", "unit"),
    [
        # US Army TM 9-2350-277-40&P p. 44: 40 lbf·ft through a 4 in adapter on a 12 in wrench is set as 30.
        ("wrench-setting", {"target": "40 ft-lb", "wrench": "12 in", "offset": "4 in"}, 30, "lbf·ft"),
        # Shigley, 9th ed., p. 439, Example 8-3(b).
        (
            *(
                "torque-from-preload",
                {"nut_factor": "0.2", "diameter": "3/4 in", "preload": "25000 lbf", "unit": "lbf.in"},
            ),
            *(3750, "lbf·in"),
        ),
        # ASME PCC-1 Legacy, public copies.
        ("cross-pattern", {"bolts": "12"}, [1, 7, 4, 10, 2, 8, 5, 11, 3, 9, 6, 12], ""),
        # NIST SP 811 (2008), Appendix B.8, to the digits printed there.
        ("convert", {"value": "1 lbf·ft", "to": "N·m"}, pytest.approx(1.355818, abs=5e-7), "N·m"),
        # IRC/IFGC A.6.5 Example 5.
        (
            "reading-after",
            {"start": "20 psig", "start_temperature": "70 F", "end_temperature": "40 F", "air": "14.7 psia"},
            *(pytest.approx(18.03, abs=0.006), "psi"),
        ),
        # 49 CFR 192.739(a).
        ("next-due", {"last": "2024-02-29"}, "2025-05-29", ""),
        ("overpressure-limit", {"maop": "59 psig"}, 65, "psi"),
        # OSHA training toolbox talk: 500 lb per 1000 lb at 30° from the horizontal.
        (
            *("sling-capacity", {"rating": "1000 lb", "angle": "30°", "reference": "horizontal"}),
            *(500, "lb"),
        ),
        # FAA AC 43.13-1B para 7-40 d.
        (
            *("drag-range", {"minimum": "160 in-lb", "maximum": "190 in-lb", "drag": "9.5 in-lb"}),
            *([169.5, 199.5], "lbf·in"),
        ),
        # Branan, dilution purging: ln 21.
        (
            "purge-dilution",
            {"from_share": "21 %", "to_share": "1 %"},
            pytest.approx(3.0445, abs=1e-4),
            "volumes",
        ),
        # Measurement Canada S-G-03 Part 16.
        (
            "regulator-error",
            {"set_point": "35 kPa", "outlet": "36 kPa"},
            pytest.approx(0.7335, abs=5e-4),
            "%",
        ),
        # ASME PCC-2-2008: 136 250 J.
        (
            "trapped-energy",
            {"pressure": "1101000 Pa(a)", "volume": "0.1 m³", "air": "101000 Pa(a)", "unit": "J"},
            *(pytest.approx(136_250, abs=10), "J"),
        ),
    ],
)
def test_published_values_through_the_register(
    name: str, values: dict[str, str], value: Any, unit: str
) -> None:
    reckoned = reckon(name, values)
    assert reckoned.value == value
    assert reckoned.unit == unit


def test_a_gauge_pressure_has_the_air_added_and_says_so() -> None:
    by_gauge = reckon("trapped-energy", {"pressure": "8 bar", "volume": "50 L"})
    by_absolute = reckon("trapped-energy", {"pressure": "9.01325 bar(a)", "volume": "50 L"})
    assert by_gauge.value == by_absolute.value
    assert by_gauge.notes[0] == "8\u202fbar gauge is 9.01\u202fbar(a)."


def test_a_strength_may_be_written_in_megapascal() -> None:
    by_area = {"area": "84.3 mm²"}
    assert (
        reckon("preload", {"stress": "580 MPa", **by_area}).value
        == reckon("preload", {"stress": "580 N/mm²", **by_area}).value
    )


def test_a_failed_hold_test_says_by_how_much() -> None:
    values = {**RECKONINGS["hold-test"].example, "end": "17.5 psi"}
    reckoned = reckon("hold-test", values)
    assert reckoned.value == "fails"
    assert reckoned.notes[0].startswith("Fails: 0.535\u202fpsi(d) is lost")


def test_the_destination_of_a_lift_keeps_the_frequency_of_its_origin() -> None:
    # NIOSH 94-110 Table 5: 9 lifts a minute for 8 h with V at the origin below 75 cm has no weight.
    values = {
        "horizontal": "30 cm",
        "vertical": "150 cm",
        "travel": "100 cm",
        "rate": "9",
        "duration": "long",
        "origin_vertical": "50 cm",
    }
    with pytest.raises(TrainerError, match="lifted too often"):
        reckon("lift-limit", values)
    assert reckon("lift-limit", {**values, "origin_vertical": "80 cm"}).unit == "kg"


@pytest.mark.parametrize(
    ("name", "values", "error", "sentence"),
    [
        (
            "wrench-setings",
            {},
            ReckoningUnknown,
            "'wrench-setings' is not a computation; did you mean 'wrench-setting'?",
        ),
        ("zzz", {}, ReckoningUnknown, "'zzz' is not a computation."),
        (
            "snug-limit",
            {"targt": "80 N·m"},
            InputUnknown,
            "'snug-limit' does not take 'targt'; did you mean 'target'?",
        ),
        (
            "snug-limit",
            {"xyz": "1"},
            InputUnknown,
            "'snug-limit' does not take 'xyz'; it takes target, unit.",
        ),
        ("snug-limit", {"target": " "}, InputMissing, "'snug-limit' needs target=…"),
        (
            *("snug-limit", {"target": "80 kg"}, InputRefused),
            "target: 80 kg is a mass, not a torque.",
        ),
        (
            *("snug-limit", {"target": "80 Nmm"}, InputRefused),
            "target: 'Nmm' is not a known unit; did you mean 'N/mm'?",
        ),
        (
            *("snug-limit", {"target": "80 N·m", "unit": "kg"}, InputRefused),
            "unit: 16 N·m is a torque, not a mass.",
        ),
        (
            *("leak-rate", {"volume": "1 L", "loss": "1 mbar", "time": "1 s"}, InputRefused),
            "loss: 1 mbar is a gauge pressure, not a pressure difference; a pressure difference is written mbar(d).",
        ),
        ("cross-pattern", {"bolts": "8.0"}, InputUnreadable, "bolts: '8.0' is not a whole number."),
        ("cross-pattern", {"bolts": "--8"}, InputUnreadable, "bolts: '--8' is not a whole number."),
        (
            *("next-due", {"last": "31.03.2026"}, InputUnreadable),
            "last: '31.03.2026' is not a date, written as 2026-03-31.",
        ),
        (
            *("sling-leg", {**RECKONINGS["sling-leg"].example, "reference": "floor"}, InputUnreadable),
            "reference: 'floor' is not a known word; known are horizontal, vertical.",
        ),
        (
            *("castle-nut", {**RECKONINGS["castle-nut"].example, "aligned": "maybe"}, InputUnreadable),
            "aligned: 'maybe' is not a yes or a no.",
        ),
        ("lift-rate", {"rate": "many", "minutes": "5"}, InputUnreadable, "rate: 'many' is not a number."),
        (
            "lift-rate",
            {"rate": "nan", "minutes": "5"},
            InputUnreadable,
            "rate: 'nan' is not a number that can be used.",
        ),
        (
            *("mixture-limit", {"shares": "100 %", "limits": "5 %, 3 %"}, TrainerError),
            "Each gas needs a share and a limit; 1 shares and 2 limits were given.",
        ),
    ],
)
def test_refusals_word_for_word(
    name: str, values: dict[str, str], error: type[TrainerError], sentence: str
) -> None:
    with pytest.raises(error) as caught:
        reckon(name, values)
    assert str(caught.value) == sentence


def test_inputs_are_documented_and_defaults_are_readable() -> None:
    for reckoning in ALL:
        assert reckoning.title
        keys = [entry.key for entry in reckoning.all_inputs]
        assert len(keys) == len(set(keys))
        assert all(entry.help for entry in reckoning.all_inputs)
        for entry in reckoning.inputs:
            if entry.default is not None and entry.words:
                assert entry.default in entry.words
