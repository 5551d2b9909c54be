"""The figures that `trainer bench` measures, one file each.

A figure is a module with

- `TITLE`: what is measured, in a few words;
- `measure(effort)`: an iterator over readings (`trainer.cli.measuring.timing.Reading`), each yielded as soon as it is
  known. `faster` and `slower` of that module time a floor and ours in turn and make the reading.

Libraries that serve as a floor are imported inside `measure`, and where one is not installed the reading says so
in its note. Big data is made once in `measure`, outside what is timed. Before a figure compares times it makes
sure that both sides give the same answer. To add one: write the file, and name it below.
"""

from __future__ import annotations

from trainer.cli.figures import (
    answering,
    answering_served,
    appending,
    counting_orders,
    counting_shipped,
    crew_sheets,
    drawing_views,
    drill_page,
    item_fit,
    keeping_summaries,
    ledger_check,
    listing,
    many_at_once,
    marking_growth,
    marking_orders,
    pages_by_size,
    printing_records,
    reading_procedures,
    signing_in,
    starting,
    submitting,
    waiting_alone,
)

FIGURES = (
    marking_orders,
    marking_growth,
    counting_orders,
    counting_shipped,
    reading_procedures,
    answering,
    answering_served,
    submitting,
    many_at_once,
    waiting_alone,
    crew_sheets,
    pages_by_size,
    listing,
    keeping_summaries,
    ledger_check,
    appending,
    signing_in,
    drawing_views,
    printing_records,
    item_fit,
    starting,
    drill_page,
)
