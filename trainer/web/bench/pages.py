"""The pages at the bench."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, ClassVar

from trainer.actions.permissions import Permission
from trainer.actions.photographs import MOST_BYTES, MOST_PER_STEP
from trainer.drills.answer_forms import Arrange, Line
from trainer.records.observation import MEANING_OBSERVED, StepMark
from trainer.records.qualification import DUTY_OF_CARE
from trainer.web.bench.steps import PhaseAtBench, StepAtBench, has_drawings, phases_of
from trainer.web.filters import capital, count
from trainer.web.pages import Page, TitleBlock
from trainer.web.practise.answering import Filled

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from markupsafe import Markup

    from trainer.actions.actor import Actor
    from trainer.actions.agreements import PairLine
    from trainer.actions.observation_views import BenchList, ObservationLine, ObservationView, ObserveSheet
    from trainer.actions.transcribe import CardRow
    from trainer.procedure.model import Module
    from trainer.procedure.order_mark import OrderMark

MARKS = tuple((mark.value, mark.short) for mark in StepMark)


@dataclass(frozen=True)
class BenchPage(Page):
    """What an evaluator has open, and what they signed last."""

    TEMPLATE: ClassVar[str] = "bench/list.html"
    sentence: str
    open: tuple[ObservationLine, ...]
    closed: tuple[ObservationLine, ...]


@dataclass(frozen=True)
class AgreementPage(Page):
    """How far evaluators agree who watched the same jobs."""

    TEMPLATE: ClassVar[str] = "bench/agreement.html"
    pairs: tuple[PairLine, ...]


@dataclass(frozen=True)
class BeginPage(Page):
    """Before an observation: the size on the bench, and whether another evaluator watches the same job."""

    TEMPLATE: ClassVar[str] = "bench/begin.html"
    sheet: ObserveSheet
    sizes: tuple[tuple[str, str], ...]
    beside: tuple[tuple[str, str], ...]
    ticket: str
    size: str
    says: str


@dataclass(frozen=True)
class CardForm:
    """What was typed from a paper card."""

    size: str = ""
    evaluator: str = ""
    filled_on: str = ""
    revision: str = ""
    rows: Mapping[str, CardRow] = field(default_factory=dict)


@dataclass(frozen=True)
class CardPage(Page):
    """A paper card to be entered: who filled it in and when, then its boxes."""

    TEMPLATE: ClassVar[str] = "bench/card.html"
    sheet: ObserveSheet
    sizes: tuple[tuple[str, str], ...]
    marks: tuple[tuple[str, str], ...]
    ticket: str
    filled: CardForm
    says: str


@dataclass(frozen=True)
class MarkPage(Page):
    """The sheet at the bench: every step with four marks; it goes on without a connection."""

    TEMPLATE: ClassVar[str] = "bench/mark.html"
    view: ObservationView
    phases: tuple[PhaseAtBench, ...]
    marks: tuple[tuple[str, str], ...]
    marked: int
    of: int
    ticket: str
    keep_as: str
    drawings: bool
    says: str
    duty: str
    most_photographs: int
    most_bytes: int


@dataclass(frozen=True)
class DrawingPage(Page):
    """One step's drawing by itself, for who has no script."""

    TEMPLATE: ClassVar[str] = "bench/drawing.html"
    step: StepAtBench
    drawing: Markup
    back: str


@dataclass(frozen=True)
class OrderAsked:
    """Stands where a drill's question stands, so that its form of lines can be used."""

    form: Arrange


@dataclass(frozen=True)
class Verdict:
    """What an order as carried out comes to: a sentence, and what would have happened with its signal word."""

    sentence: str
    signal: str
    happens: str
    others: tuple[str, ...]


@dataclass(frozen=True)
class ClosePage(Page):
    """Before the signature: the order as carried out, what it comes to, the marks, and the result in words."""

    TEMPLATE: ClassVar[str] = "bench/close.html"
    view: ObservationView
    question: OrderAsked
    filled: Filled
    pictures_at: str
    verdict: Verdict
    counts: tuple[tuple[str, int], ...]
    not_seen: int
    result: str
    says: str
    meaning: str


@dataclass(frozen=True)
class ObservationPage(Page):
    """A signed observation, or one that was given up, to be read."""

    TEMPLATE: ClassVar[str] = "bench/observation.html"
    view: ObservationView
    steps: tuple[StepAtBench, ...]
    not_seen: int
    verdict: Verdict
    counts: tuple[tuple[str, int], ...]
    keep_as: str
    back: str
    duty: str


def bench_page(listed: BenchList, day: date) -> BenchPage:
    """Return the evaluator's list."""
    some = len(listed.open)
    sentence = f"{count(some, 'observation')} not signed yet." if some else "Nothing is open at the bench."
    return BenchPage(
        TitleBlock(title="At the bench", kind="List", day=day), sentence, listed.open, listed.closed
    )


def agreement_page(pairs: tuple[PairLine, ...], day: date) -> AgreementPage:
    """Return how far evaluators agree."""
    return AgreementPage(TitleBlock(title="Agreement of evaluators", kind="List", day=day), pairs)


def begin_page(sheet: ObserveSheet, ticket: str, *, size: str = "", says: str = "") -> BeginPage:
    """Return the page before an observation."""
    block = TitleBlock(
        title=f"Observe {sheet.person.name}",
        subtitle=sheet.module_title,
        kind="Observation",
        document=sheet.document,
        revision=sheet.revision,
    )
    beside = [
        (str(line.observation_id), f"{line.evaluator_name}, {line.size}, begun {line.begun_at:%H:%M} UTC")
        for line in sheet.beside
    ]
    return BeginPage(
        block=block,
        sheet=sheet,
        sizes=tuple((one, one) for one in sheet.sizes if one),
        beside=(("", "Nobody else, or I do not know of it"), *beside) if beside else (),
        ticket=ticket,
        size=size or (sheet.sizes[0] if len(sheet.sizes) == 1 else ""),
        says=says,
    )


def card_page(sheet: ObserveSheet, ticket: str, filled: CardForm, *, says: str = "") -> CardPage:
    """Return the page on which a paper card is entered."""
    block = TitleBlock(
        title=f"Bench card of {sheet.person.name}",
        subtitle=sheet.module_title,
        kind="Card, to be entered",
        document=sheet.document,
        revision=sheet.revision,
    )
    sizes = tuple((one, one) for one in sheet.sizes if one)
    return CardPage(block, sheet, sizes, MARKS, ticket, filled, says)


def mark_page(
    view: ObservationView,
    module: Module,
    tools: Mapping[str, str],
    *,
    ticket: str,
    keep_as: str,
    says: str = "",
) -> MarkPage:
    """Return the sheet on which an open observation is marked."""
    phases = phases_of(module, view, tools)
    return MarkPage(
        block=_block(view, "Observation"),
        view=view,
        phases=phases,
        marks=MARKS,
        marked=sum(item.mark is not None for item in view.seen),
        of=len(module.steps),
        ticket=ticket,
        keep_as=keep_as,
        drawings=has_drawings(module),
        says=says,
        duty=DUTY_OF_CARE,
        most_photographs=MOST_PER_STEP,
        most_bytes=MOST_BYTES,
    )


def drawing_page(
    view: ObservationView, module: Module, step: str, drawing: Markup, tools: Mapping[str, str], back: str
) -> DrawingPage:
    """Return the drawing of a step."""
    steps = {one.id: one for phase in phases_of(module, view, tools) for one in phase.steps}
    return DrawingPage(_block(view, "Drawing"), steps[step], drawing, back)


def close_page(
    view: ObservationView, module: Module, *, filled: Filled | None = None, result: str = "", says: str = ""
) -> ClosePage:
    """Return the page before the signature, with the marked steps in the order in which they stand."""
    form = Arrange(lines_of(view, module), "Done first", "Done last")
    marked = [item for item in view.seen if item.mark]
    return ClosePage(
        block=_block(view, "Observation, to be signed"),
        view=view,
        question=OrderAsked(form),
        filled=filled or Filled("", "", lines=form.lines),
        pictures_at="",
        verdict=_verdict(view.order, module),
        counts=_counts(view),
        not_seen=len(module.steps) - len(marked),
        result=result,
        says=says,
        meaning=MEANING_OBSERVED,
    )


def lines_of(view: ObservationView, module: Module) -> tuple[Line, ...]:
    """Return the marked steps as lines that can be moved."""
    return tuple(
        Line(item.step, module.steps[item.step].do, capital(item.mark.words))
        for item in view.seen
        if item.mark is not None
    )


def observation_page(
    view: ObservationView, module: Module, tools: Mapping[str, str], actor: Actor, *, keep_as: str, back: str
) -> ObservationPage:
    """Return an observation as it is read."""
    by_id = {one.id: one for phase in phases_of(module, view, tools) for one in phase.steps}
    steps = tuple(by_id[item.step] for item in view.seen)
    marked = sum(item.mark is not None for item in view.seen)
    looks_after = actor.may(Permission.ATTEMPT_READ) and actor.person_id != view.person_id
    return ObservationPage(
        block=_block(view, "Observation"),
        view=view,
        steps=steps,
        not_seen=len(by_id) - marked,
        verdict=_verdict(view.order, module),
        counts=_counts(view),
        keep_as=keep_as,
        back=back if looks_after else "",
        duty=DUTY_OF_CARE,
    )


def _counts(view: ObservationView) -> tuple[tuple[str, int], ...]:
    return tuple((mark.words, sum(item.mark is mark for item in view.seen)) for mark in StepMark)


def _verdict(order: OrderMark | None, module: Module) -> Verdict:
    if order is None:
        return Verdict("Too few steps were seen to judge an order.", "", "", ())
    if order.legal:
        return Verdict("The order in which it was done works.", "", "", ())
    first = order.incident
    told = first.text if first else ""
    others = tuple(dict.fromkeys(item.text for item in order.broken if item.text != told))
    if first is None:
        return Verdict("The order in which it was done does not work.", "", "", others)
    sentence = f"Done too early, as number {first.position}: {module.steps[first.step].do}"
    return Verdict(sentence, str(first.signal), told, others)


def _block(view: ObservationView, kind: str) -> TitleBlock:
    where = f"{view.module_title}, {view.size}" if view.size else view.module_title
    return TitleBlock(
        title=f"{view.person_name} at the bench",
        subtitle=where,
        kind=kind,
        document=view.document,
        revision=view.revision,
        day=(view.signature.at if view.signature else view.begun_at).date(),
        issued_by=view.evaluator_name,
    )
