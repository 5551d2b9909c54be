"""`trainer reckon`: shapes, exit codes, sentences."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner, Result

from trainer.cli import command
from trainer.trade.reckon import RECKONINGS


def _run(*arguments: str) -> Result:
    return CliRunner().invoke(command, ["reckon", *arguments])


def test_json_has_the_fixed_shape() -> None:
    # US Army TM 9-2350-277-40&P p. 44: 40 lbf·ft through a 4 in adapter on a 12 in wrench is set as 30.
    result = _run("wrench-setting", "target=40 ft-lb", "wrench=12 in", "offset=4 in", "--format", "json")
    assert result.exit_code == 0
    assert json.loads(result.stdout) == {
        "name": "wrench-setting",
        "inputs": {"target": "40 lbf·ft", "wrench": "12 in", "offset": "4 in", "angle": "0 °"},
        "result": {"value": 30.0, "unit": "lbf·ft"},
        "formula": "T × L / (L + E cos a)",
        "source": "US Army TM 1-1500-204-23-9, para (a) and (b), figure 8-16; TM 9-254, figures 4-5 and 4-6",
        "notes": [],
    }


def test_text_shows_inputs_result_formula_and_source() -> None:
    result = _run("next-due", "last=2024-10-01")
    assert result.exit_code == 0
    lines = result.stdout.splitlines()
    assert lines[0] == "Day by which the next visit has to take place"
    assert "  last  2024-10-01" in lines
    assert "= 2025-12-31" in lines
    assert any(line.startswith("Formula: ") for line in lines)
    assert any(line.startswith("Source: 49 CFR 192.739(a)") for line in lines)


def test_a_key_may_be_written_with_hyphens() -> None:
    # Branan, dilution purging: ln 21 = 3.04 volumes.
    assert "= 3.045 volumes" in _run("purge-dilution", "from-share=21 %", "to-share=1 %").stdout


def test_list_names_every_computation_with_its_inputs() -> None:
    listed = _run("--list")
    assert listed.exit_code == 0
    for name, reckoning in RECKONINGS.items():
        assert f"{name}: {reckoning.title}" in listed.stdout
    data = json.loads(_run("--list", "--format", "json").stdout)
    assert [entry["name"] for entry in data] == list(RECKONINGS)


def test_list_of_one() -> None:
    assert _run("--list", "slot-angle").stdout == (
        "slot-angle: Turn from one slot of a castle nut to the next\n"
        "  slots  slots around the nut (whole number)\n"
        "  holes  holes drilled through the bolt (whole number; 1 unless given)\n"
    )


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        ([], "Name a computation; `trainer reckon --list` lists them."),
        (["wrench-seting"], "'wrench-seting' is not a computation; did you mean 'wrench-setting'?"),
        (["--list", "zzz"], "'zzz' is not a computation."),
        (["slot-angle"], "'slot-angle' needs slots=…"),
        (
            ["slot-angle", "6"],
            "'6' is not an input; write key=value, with quotes where the value has spaces.",
        ),
        (["slot-angle", "slots=6", "slots=8"], "'slots' is given twice."),
        (["slot-angle", "slots=0"], "The number of slots must be greater than zero; 0 was given."),
    ],
)
def test_what_cannot_run_exits_2_with_one_sentence(arguments: list[str], sentence: str) -> None:
    result = _run(*arguments)
    assert result.exit_code == 2
    assert result.stderr.strip().removeprefix("trainer: ") == sentence
    assert result.stdout == ""


def test_help_shows_an_example_that_works() -> None:
    text = _run("--help").stdout
    assert 'trainer reckon wrench-setting target="60 N·m" wrench="400 mm" offset="60 mm"' in text
    assert _run("wrench-setting", "target=60 N·m", "wrench=400 mm", "offset=60 mm").exit_code == 0
