"""Sixty-four people handing in answers at once, on this disk and on slower ones: none lost, none refused, none kept waiting."""

from __future__ import annotations

import shutil
import sqlite3
import subprocess
from contextlib import closing
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from trainer.actions.opening import open_database
from trainer.cli.figures.answering_served import handing_in
from trainer.cli.measuring import large_company, served
from trainer.cli.measuring.timing import QUICK, Goal, Reading

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.cli.measuring.timing import Effort
    from trainer.settings import Settings

TITLE = "Sixty-four hand in at once"

CLIENTS = 64
WAIT, FAIRNESS = 3.0, 0.4
SLOWER = (0, 1, 5)
"""Milliseconds that each flush takes longer: an office disk waits for its platter, this machine's may not."""

_FLUSH = """
#define _GNU_SOURCE
#include <dlfcn.h>
#include <unistd.h>
static int then(const char *name, int file) {
  int (*real)(int) = (int (*)(int))dlsym(RTLD_NEXT, name);
  usleep(%d);
  return real(file);
}
int fsync(int file) { return then("fsync", file); }
int fdatasync(int file) { return then("fdatasync", file); }
"""


def measure(effort: Effort) -> Iterator[Reading]:
    """Yield for each disk what was lost or refused, the longest waits, and the slowest beside the fastest person."""
    compiler = shutil.which("cc")
    for later in SLOWER:
        what = f"{TITLE}, {later} ms added to each flush"
        if later and compiler is None:
            yield Reading(what, note="a compiler (cc), which makes the disk slow, is not installed.")
            continue
        with TemporaryDirectory() as folder:
            preload = slow_disk(Path(folder), compiler, later) if later and compiler else ""
            settings = large_company.make(Path(folder) / "instance", large_company.Company(0))
            with served.trainer_at(settings.instance, preload) as port:
                yield from _under_load(what, settings, port, effort)


def _under_load(what: str, settings: Settings, port: int, effort: Effort) -> Iterator[Reading]:
    seconds = 1.0 if effort.rounds <= QUICK.rounds else 4.0
    hand_in = handing_in(settings, port)
    before = kept(settings)
    loads = [served.busy(port, CLIENTS, seconds, hand_in) for _ in range(effort.rounds)]
    answered = sum(len(waits) for load in loads for waits in load.waits)
    lost = answered - (kept(settings) - before) + sum(load.refused for load in loads)
    rate = median(load.rate for load in loads)
    yield Reading(
        f"{what}: lost or refused", ratio=float(lost), goal=Goal("at most", 0), note=f"of {answered}."
    )
    middle, long = (median(load.part(share) for load in loads) for share in (0.5, 0.99))
    note = f"{rate:.0f} answers a second."
    yield Reading(
        f"{what}: one wait in a hundred, times the median",
        middle,
        long,
        long / middle,
        Goal("at most", WAIT),
        note,
    )
    fair = median(min(map(len, load.waits)) / max(map(len, load.waits)) for load in loads)
    yield Reading(
        f"{what}: the slowest person, share of the fastest", ratio=fair, goal=Goal("at least", FAIRNESS)
    )


def kept(settings: Settings) -> int:
    """Return how many answers the database holds."""
    with open_database(settings) as db, closing(sqlite3.connect(str(db.url.database))) as bare:
        number: int = bare.execute("SELECT count(*) FROM attempts").fetchone()[0]
    return number


def slow_disk(folder: Path, compiler: str, milliseconds: int) -> str:
    """Return the path of a library that makes each flush of a process take longer."""
    source, library = folder / "flush.c", folder / "flush.so"
    source.write_text(_FLUSH % (milliseconds * 1000), encoding="utf-8")
    subprocess.run([compiler, "-shared", "-fPIC", "-o", str(library), str(source), "-ldl"], check=True)  # noqa: S603  # our own
    return str(library)
