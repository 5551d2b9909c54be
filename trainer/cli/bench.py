"""`trainer bench`: the figures that the programme promises, measured on this machine."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Any

import click

from trainer.cli import figures
from trainer.cli.measuring.timing import QUICK, THOROUGH
from trainer.cli.output import format_option, say_json

if TYPE_CHECKING:
    from trainer.cli.measuring.timing import Reading

HEADINGS = f"  {'floor':>9}  {'ours':>9}  {'ratio':>8}  {'goal':<13} reached"


@click.command("bench", epilog="Example: trainer bench --quick")
@click.option("--quick", is_flag=True, help="Fewer and shorter samples: sooner done, rougher.")
@format_option
@click.pass_context
def bench_command(ctx: click.Context, quick: bool, output: str) -> None:
    """Measure the promised figures, each as a ratio to a floor timed in the same run.

    Exits with 1 when a goal is not reached. A figure whose floor is not installed says so and does not count.
    """
    readings: list[Reading] = []
    if output == "text":
        click.echo(HEADINGS)
    for figure in figures.FIGURES:
        if sys.stderr.isatty():
            click.echo(f"{figure.TITLE} …", err=True)
        for reading in figure.measure(QUICK if quick else THOROUGH):
            readings.append(reading)
            if output == "text":
                click.echo(as_text(reading))
    if output == "json":
        say_json([as_data(reading) for reading in readings])
    ctx.exit(1 if any(reading.reached is False for reading in readings) else 0)


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


def as_text(reading: Reading) -> str:
    """Return a reading as a line with its name, and one with its numbers or why there are none."""
    if reading.ratio is None:
        return f"{reading.name}\n  {reading.note}"
    verdict = {True: "reached", False: "NOT REACHED", None: ""}[reading.reached]
    times = f"{in_words(reading.floor):>9}  {in_words(reading.ours):>9}"
    goal = str(reading.goal) if reading.goal else ""
    line = f"{reading.name}\n  {times}  {reading.ratio:>8.3g}  {goal:<13} {verdict:<11}  {reading.note}"
    return line.rstrip()


def in_words(seconds: float | None) -> str:
    """Return a time with the unit that suits it, or nothing."""
    if seconds is None:
        return ""
    for unit, size in (("s", 1.0), ("ms", 1e-3)):
        if seconds >= size:
            return f"{seconds / size:.3g} {unit}"
    return f"{seconds * 1e6:.3g} µs"
