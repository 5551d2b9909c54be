"""The pages that show how a procedure is answered, and those of a panel."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from markupsafe import Markup

from trainer.web.analysis import plots
from trainer.web.analysis.plots import Arc, Dot, Place
from trainer.web.filters import count
from trainer.web.pages import Page, TitleBlock

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from trainer.actions.analysis_views import (
        BrokenRelation,
        CurvePoint,
        Decisions,
        GapPoint,
        Models,
        ModelSheet,
        ModuleAnalysis,
        PhaseLines,
        RowChoices,
        SkillAnalysis,
        SkillLine,
        TryPoint,
    )
    from trainer.actions.panel import PanelRoom, PanelSheet

# The relations that are listed; what is rarer is counted in a sentence.
LISTED = 25


@dataclass(frozen=True)
class StepRow:
    """A step of the list, and in how many answers it came too early."""

    number: int
    do: str
    early: int


@dataclass(frozen=True)
class PhaseDrawn:
    """The steps of a phase with the arcs of what was broken among them."""

    title: str
    rows: tuple[StepRow, ...]
    arcs: Markup


@dataclass(frozen=True)
class SkillRow:
    """A skill in the table of skills."""

    line: SkillLine
    bar: Markup


@dataclass(frozen=True)
class AnalysisPage(Page):
    """How a procedure is answered at its revision in force."""

    TEMPLATE: ClassVar[str] = "analysis/sheet.html"
    module_id: str
    sentence: str
    answers: int
    bounded: str
    phases: tuple[PhaseDrawn, ...]
    broken: tuple[BrokenRelation, ...]
    rarer: int
    skills: tuple[SkillRow, ...]
    together: str
    places: str
    has_places: bool
    tries: tuple[TryPoint, ...]
    tries_plot: Markup
    gaps: tuple[GapPoint, ...]
    gaps_plot: Markup
    half_life_days: int
    in_a_row: int


@dataclass(frozen=True)
class SkillPage(Page):
    """How one skill is answered."""

    TEMPLATE: ClassVar[str] = "analysis/skill.html"
    module_id: str
    found: SkillAnalysis
    rows: tuple[RowChoices, ...]
    tries_plot: Markup


@dataclass(frozen=True)
class ModelsPage(Page):
    """What item response models say of a procedure; `numbers` are the places of the plot that stand in its table."""

    TEMPLATE: ClassVar[str] = "analysis/models.html"
    module_id: str
    found: ModelSheet
    models: Models | None
    verdict: str
    decisions: Decisions | None
    why_no_decisions: str
    has_errors: bool
    plot: Markup
    numbers: tuple[CurvePoint, ...]


@dataclass(frozen=True)
class PanelForm:
    """What was typed into a panel's sheet: names, and estimates by judge and item."""

    judges: tuple[str, ...]
    estimates: tuple[tuple[str, ...], ...]
    says: str = ""


@dataclass(frozen=True)
class PanelPage(Page):
    """The sheet that a panel fills in, and those kept before."""

    TEMPLATE: ClassVar[str] = "analysis/panel.html"
    room: PanelRoom
    filled: PanelForm
    may_keep: bool
    more: int


@dataclass(frozen=True)
class PanelRow:
    """An item of a kept sheet: estimates, their mean, and what people did at the first go, where enough answered."""

    title: str
    estimates: tuple[int, ...]
    mean: float
    seen: float | None
    parts: float | None


@dataclass(frozen=True)
class PanelSheetPage(Page):
    """A kept sheet."""

    TEMPLATE: ClassVar[str] = "analysis/panel_sheet.html"
    sheet: PanelSheet
    rows: tuple[PanelRow, ...]
    sums: tuple[float, ...]
    plot: Markup


def analysis_page(found: ModuleAnalysis, day: date) -> AnalysisPage:
    """Return the sheet of a procedure's answers."""
    early = _early(found.broken)
    most = max((one.times for one in found.broken), default=1)
    return AnalysisPage(
        block=_block(found.title, "How it is answered", found.document, found.revision, day),
        module_id=found.module_id,
        sentence=f"{found.title}: {found.answers:,} answers in practice at the revision in force.",
        answers=found.answers,
        bounded=found.bounded,
        phases=tuple(
            drawn
            for number, phase in enumerate(found.phases)
            if (drawn := _phase(phase, number, found.broken, early, most)) is not None
        ),
        broken=found.broken[:LISTED],
        rarer=len(found.broken[LISTED:]),
        skills=tuple(
            SkillRow(line, plots.range_bar(line.rate.low, line.rate.share, line.rate.high))
            for line in sorted(found.skills, key=lambda line: line.rate.share)
        ),
        together=_together(found),
        places=found.together.why_no_places,
        has_places=not found.together.why_no_places,
        tries=found.tries,
        tries_plot=_tries_plot("tries", found.tries),
        gaps=found.gaps,
        gaps_plot=_gaps_plot(found.gaps),
        half_life_days=found.half_life_days,
        in_a_row=found.in_a_row,
    )


def _block(title: str, subtitle: str, document: str, revision: str, day: date) -> TitleBlock:
    return TitleBlock(
        title=title, subtitle=subtitle, kind="Analysis", document=document, revision=revision, day=day
    )


def _early(broken: Sequence[BrokenRelation]) -> Mapping[str, int]:
    """Return how often each step came too early: as often as the most frequent of its relations was broken."""
    early: dict[str, int] = {}
    for one in broken:
        early[one.after.id] = max(early.get(one.after.id, 0), one.times)
    return early


def _phase(
    phase: PhaseLines, number: int, broken: Sequence[BrokenRelation], early: Mapping[str, int], most: int
) -> PhaseDrawn | None:
    row_of = {step.id: row for row, step in enumerate(phase.steps)}
    within = [one for one in broken if one.before.id in row_of and one.after.id in row_of]
    if not within:
        return None
    found = [
        Arc(
            row_of[one.before.id],
            row_of[one.after.id],
            one.times / most,
            hurts=one.signal is not None and one.signal.is_critical,
        )
        for one in within
    ]
    first = within[0]
    told = f"Most often, {count(first.times, 'time')}: step {first.after.number} before step {first.before.number}."
    title = f"What was broken in {phase.title or 'the procedure'}"
    return PhaseDrawn(
        phase.title,
        tuple(StepRow(step.number, step.do, early.get(step.id, 0)) for step in phase.steps),
        plots.arcs(f"arcs-{number}", title, told, found, len(phase.steps)),
    )


def _together(found: ModuleAnalysis) -> str:
    if found.together.why_not:
        return found.together.why_not
    people = f"{found.together.complete} people answered every skill"
    if found.together.reliability is None:
        return f"{people}, all with the same number right; nothing tells them apart."
    return f"{people}. Reliability of their numbers right (KR-20): {found.together.reliability:.2f}."


def _tries_plot(prefix: str, tries: Sequence[TryPoint]) -> Markup:
    dots = [Dot(str(point.number), point.rate.share, point.rate.low, point.rate.high) for point in tries]
    if not dots:
        return Markup("")
    told = f"From {dots[0].share:.0%} at try {dots[0].label} to {dots[-1].share:.0%} at try {dots[-1].label}."
    return plots.shares(
        prefix, "Share right by number of the try", told, dots, across="Try at the same skill", joined=True
    )


def _gaps_plot(gaps: Sequence[GapPoint]) -> Markup:
    dots = [Dot(days_of(gap), gap.rate.share, gap.rate.low, gap.rate.high, gap.predicted) for gap in gaps]
    if not dots:
        return Markup("")
    inside = sum(gap.rate.low <= gap.predicted <= gap.rate.high for gap in gaps)
    told = f"The prediction lies within the interval of what was seen in {inside} of {len(gaps)}."
    return plots.shares(
        "gaps",
        "Share right by days since the skill was shown",
        told,
        dots,
        across="Days since the skill was shown",
        joined=False,
    )


def days_of(gap: GapPoint) -> str:
    """Return a range of days as it is printed."""
    return f"{gap.first}–{gap.last}" if gap.last is not None else f"{gap.first} +"


def skill_page(found: SkillAnalysis, day: date) -> SkillPage:
    """Return the sheet of one skill."""
    return SkillPage(
        block=_block(found.title, found.skill.title, found.document, found.revision, day),
        module_id=found.module_id,
        found=found,
        rows=found.rows,
        tries_plot=_tries_plot("tries", found.tries),
    )


def models_page(found: ModelSheet, day: date) -> ModelsPage:
    """Return the sheet of the models of a procedure."""
    models = found.models
    decisions = models.decisions if models else ""
    return ModelsPage(
        block=_block(found.title, "What models say of its skills", found.document, found.revision, day),
        module_id=found.module_id,
        found=found,
        models=models,
        verdict=_verdict(models) if models else "",
        decisions=None if isinstance(decisions, str) else decisions,
        why_no_decisions=decisions if isinstance(decisions, str) else "",
        has_errors=any(line.free.slope_error is not None for line in models.skills) if models else False,
        plot=_information_plot(models) if models else Markup(""),
        numbers=tuple(point for point in models.curve if point.skill == round(point.skill)) if models else (),
    )


# Half of one per cent: the slopes differ, or they hardly do. Own choice.
_SURELY = 0.005


def _verdict(models: Models) -> str:
    """Say in a sentence whether the skills tell people apart alike."""
    if models.by_chance >= _SURELY:
        return "Slopes of their own fit no better than one for all: the Rasch model is enough."
    if models.bic[1] < models.bic[0]:
        return "Slopes of their own fit better: the skills do not tell people apart alike."
    return "Slopes differ, but by little: for their number, one for all fits better (BIC)."


def _information_plot(models: Models) -> Markup:
    cut = models.skill_at_cut[1]
    best = max(models.curve, key=lambda point: point.free)
    told = (
        f"The two-parameter model tells most at {best.skill:.1f} (information {best.free:.1f});"
        f" at the cut, {cut:.2f}, it tells {models.information_at_cut[1]:.1f}."
    )
    return plots.curves(
        "information",
        "Information of all skills together",
        told,
        (
            ("foretold", [Place(point.skill, point.rasch) for point in models.curve]),
            ("joined", [Place(point.skill, point.free) for point in models.curve]),
        ),
        cut,
        across="Skill of people; 0 is the middle one",
    )


def panel_page(room: PanelRoom, filled: PanelForm, day: date, *, may_keep: bool, more: int) -> PanelPage:
    """Return the sheet that a panel fills in; `more` is the number of judges that a larger sheet has, 0 for none."""
    block = _block(room.title, "Where to draw the line", room.document, room.revision, day)
    return PanelPage(block, room, filled, may_keep, more)


def panel_sheet_page(sheet: PanelSheet) -> PanelSheetPage:
    """Return a kept sheet."""
    cut = sheet.cut
    told = (
        f"{len(cut.judges)} judges from {min(cut.judges):.2f} to {max(cut.judges):.2f} of {len(sheet.items)} items;"
        f" cut {cut.cut:.2f}, spread {cut.spread:.2f}."
    )
    block = _block(
        sheet.title, "Where to draw the line", sheet.document, sheet.revision, sheet.line.at.date()
    )
    return PanelSheetPage(
        block=block,
        sheet=sheet,
        rows=tuple(
            PanelRow(
                title,
                estimates,
                cut.items[place],
                sheet.seen.shares[place] if sheet.seen else None,
                sheet.seen.parts[place] if sheet.seen else None,
            )
            for place, (title, estimates) in enumerate(sheet.items)
        ),
        sums=cut.judges,
        plot=plots.scale(
            "judges", "The cuts of the judges", told, cut.judges, cut.cut, cut.spread, float(len(sheet.items))
        ),
    )
