"""`trainer bench`: the figures that the programme promises, measured on this machine."""

from __future__ import annotations

import json
import sys
from typing import TYPE_CHECKING, Any

import click

from trainer.cli import figures
from trainer.cli.measuring import QUICK, THOROUGH

if TYPE_CHECKING:
    from trainer.cli.measuring import Reading

HEADINGS = ("figure", "floor", "ours", "ratio", "goal", "reached")


@click.command()
@click.option("--quick", is_flag=True, help="Fewer and shorter samples: a minute less, a rougher figure.")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", help="How to print.")
def bench(quick: bool, form: str) -> None:
    """Measure the promised figures, each as a ratio to a floor timed in the same run.

    Exits 1 when a goal is not reached. A line without its floor's library says so and counts as neither.

    Example: trainer bench --quick
    """
    readings: list[Reading] = []
    for figure in figures.FIGURES:
        if sys.stderr.isatty():
            click.echo(f"{figure.TITLE} …", err=True)
        for reading in figure.measure(QUICK if quick else THOROUGH):
            readings.append(reading)
            if form == "text":
                click.echo(as_line(reading))
    if form == "json":
        click.echo(json.dumps([as_data(reading) for reading in readings], indent=2, ensure_ascii=False))
    if any(reading.reached is False for reading in readings):
        raise SystemExit(1)


def as_data(reading: Reading) -> dict[str, Any]:
    """Return a reading as plain JSON values; times in seconds."""
    return {
        "name": reading.name,
        "floor": reading.floor,
        "ours": reading.ours,
        "ratio": reading.ratio,
        "goal": str(reading.goal) if reading.goal else None,
        "reached": reading.reached,
        "note": reading.note,
    }


def as_line(reading: Reading) -> str:
    """Return a reading as a line of text."""
    if reading.ratio is None:
        return f"{reading.name}: {reading.note}"
    verdict = {True: "reached", False: "NOT REACHED", None: ""}[reading.reached]
    times = f"{in_words(reading.floor):>9}  {in_words(reading.ours):>9}"
    goal = str(reading.goal) if reading.goal else ""
    return f"{reading.name:<76}  {times}  {reading.ratio:>8.3g}  {goal:<12}  {verdict}".rstrip()


def in_words(seconds: float | None) -> str:
    """Return a time with the unit that suits it, or nothing."""
    if seconds is None:
        return ""
    for unit, size in (("s", 1.0), ("ms", 1e-3)):
        if seconds >= size:
            return f"{seconds / size:.3g} {unit}"
    return f"{seconds * 1e6:.3g} µs"
