"""The station of a procedure to look at: its valves and what its pipes hold after any step."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from markupsafe import Markup

from trainer.drawing import VIEWS
from trainer.procedure.line_up_words import describe
from trainer.procedure.line_ups import line_up_after, locked_in, states_after
from trainer.procedure.window import prepare
from trainer.web.modules.machine import MomentShown, StepLink, done_after, moment
from trainer.web.pages import Page, TitleBlock

if TYPE_CHECKING:
    from trainer.actions.views import PublishedModule
    from trainer.procedure.model import Module

# CSS pixels inside the frame of a sheet 360 and 1280 px wide.
PHONE, DESK = 328, 1140


@dataclass(frozen=True)
class StationPage(Page):
    """The station after a step.

    `pictures` are (for a phone, for a desk), `told` says the same in words. `before` and `next` are the ids of the steps
    that lead one moment back and on, None at the ends; "" is the moment when nothing is done.
    """

    TEMPLATE: ClassVar[str] = "modules/station.html"
    module_id: str
    title: str
    pictures: tuple[Markup, Markup]
    told: str
    moment: MomentShown
    last_done: str
    before: str | None
    next: str | None
    steps: tuple[StepLink, ...]


def station_page(published: PublishedModule, module: Module, after: str) -> StationPage:
    """Return the sheet of a station.

    Args:
        published: what was published, by whom and when.
        module: its content.
        after: the step just done, all before it in the file being done too; "" for none.

    Raises:
        NoStation, UnknownStep: there is nothing to show.
    """
    done = done_after(module, after)
    order = list(module.steps)
    # Drawn by our own room from escaped names.
    phone, desk = (
        Markup(VIEWS["station"].draw(module, None, width, after=after or None, prefix=prefix))  # noqa: S704
        for width, prefix in ((PHONE, "phone"), (DESK, "desk"))
    )
    procedure = prepare(module)
    steps_done = order[:done]
    return StationPage(
        block=TitleBlock(
            title=f"{module.title}: the station",
            subtitle=", ".join(module.sizes),
            kind="Station",
            document=module.document,
            revision=published.revision,
            day=published.published_at.date(),
            issued_by=published.published_by,
        ),
        module_id=module.id,
        title=module.title,
        pictures=(phone, desk),
        told=describe(
            line_up_after(procedure, steps_done), locked_in(module, states_after(procedure, steps_done))
        ),
        moment=moment(module, done),
        last_done=module.steps[after].do if after else "",
        before=None if not done else order[done - 2] if done > 1 else "",
        next=order[done] if done < len(order) else None,
        steps=tuple(
            StepLink(n + 1, module.steps[name].do, order[n - 1] if n else "") for n, name in enumerate(order)
        ),
    )
