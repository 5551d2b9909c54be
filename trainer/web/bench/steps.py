"""The steps of a job as they stand on a sheet at the bench: cautions, what is done, how it was marked."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from markupsafe import Markup

from trainer.drawing import VIEWS
from trainer.procedure.model import SameRevision
from trainer.web.modules.contents import StepShown, contents

if TYPE_CHECKING:
    from collections.abc import Mapping

    from trainer.actions.observation_views import ObservationView, PhotographShown
    from trainer.procedure.model import Module

# Widths in CSS pixels beside the marks of a step on a phone and on a tablet.
PHONE, TABLET = 320, 440


@dataclass(frozen=True)
class StepAtBench:
    """One step: `mark` is "" while there is none; `critical` says what makes it so, "" when it is not."""

    id: str
    shown: StepShown
    mark: str
    words: str
    note: str
    at: str
    critical: str
    photographs: tuple[PhotographShown, ...]


@dataclass(frozen=True)
class PhaseAtBench:
    """A stretch of the job under its heading."""

    title: str
    steps: tuple[StepAtBench, ...]


def phases_of(module: Module, view: ObservationView, tools: Mapping[str, str]) -> tuple[PhaseAtBench, ...]:
    """Return the steps of a job in the order of the procedure, each with its mark."""
    ids = list(module.steps)
    return tuple(
        PhaseAtBench(phase.title, tuple(_step(ids[shown.number - 1], shown, view) for shown in phase.steps))
        for phase in contents(module, tools, "").phases
    )


def _step(step: str, shown: StepShown, view: ObservationView) -> StepAtBench:
    seen = next((item for item in view.seen if item.step == step), None)
    mark = seen.mark if seen else None
    return StepAtBench(
        id=step,
        shown=shown,
        mark=mark.value if mark else "",
        words=mark.words if mark else "not seen",
        note=seen.note if seen else "",
        at=seen.at.isoformat() if seen else "",
        critical=view.critical.get(step, ""),
        photographs=tuple(one for one in view.photographs if one.step == step),
    )


def has_drawings(module: Module) -> bool:
    """Return whether the procedure gives its parts shapes."""
    return module.geometry is not None and bool(module.geometry.shapes)


def drawing_of(module: Module, size: str, step: str, width: int) -> Markup:
    """Return the machine as it stands when a step begins, and what the step moves; empty without shapes."""
    if not has_drawings(module):
        return Markup()
    return _drawn(SameRevision(module), size, step, TABLET if width >= TABLET else PHONE)


@lru_cache(maxsize=512)
def _drawn(keyed: SameRevision, size: str, step: str, width: int) -> Markup:
    module = keyed.module
    done = list(module.steps)[: list(module.steps).index(step)]
    drawn = VIEWS["state"].draw(
        module, size or None, width, done=done, step=step, prefix=f"s{len(done) + 1}-{width}"
    )
    return Markup(drawn)  # noqa: S704  # drawn by our own room from escaped names
