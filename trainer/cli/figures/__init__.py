"""The figures that `trainer bench` measures, one file each.

A figure is a module with

- `TITLE`: what is measured, in a few words;
- `measure(effort)`: an iterator over readings (`trainer.cli.measuring.Reading`), each yielded as soon as it is
  known. `faster` and `slower` of that module time a floor and ours in turn and make the reading.

Libraries that serve as a floor are imported inside `measure`, and where one is not installed the reading says so
in its note. Big data is made once in `measure`, outside what is timed. Before a figure compares times it makes
sure that both sides give the same answer. To add one: write the file, and name it below.
"""

from __future__ import annotations

from trainer.cli.figures import (
    counting_orders,
    counting_shipped,
    drawing_views,
    item_fit,
    ledger_check,
    marking_growth,
    marking_orders,
    reading_procedures,
    signing_in,
    starting,
)

FIGURES = (
    marking_orders,
    marking_growth,
    counting_orders,
    counting_shipped,
    ledger_check,
    item_fit,
    drawing_views,
    reading_procedures,
    signing_in,
    starting,
)
