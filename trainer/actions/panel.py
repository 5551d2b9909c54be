"""Where to draw the line for what can make up for one another: a panel estimates, the cut follows and is kept.

The panel is asked about ordinary skills alone. Critical skills and abnormal conditions are decided each by itself; nothing
makes up for an error there.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import TYPE_CHECKING

from trainer.actions import journal
from trainer.actions.actor import NotFound
from trainer.actions.analysis import MOST_PEOPLE
from trainer.actions.permissions import Permission
from trainer.actions.published import in_force, prepared
from trainer.competency import angoff
from trainer.competency.skill_classes import SkillClass, class_of
from trainer.errors import TrainerError
from trainer.store import analysis, panels

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from trainer.actions.actor import Actor
    from trainer.actions.published import Prepared
    from trainer.competency.angoff import Cut
    from trainer.competency.evidence import Skill
    from trainer.store.panels import KeptPanel
    from trainer.store.session import Database

MOST_JUDGES = 8
_NEAR = 1e-9
_LONGEST_NAME = 80


class EstimateUnreadable(TrainerError):
    """An estimate is missing or is not a whole per cent."""

    def __init__(self, judge: str, item: str) -> None:
        super().__init__(f"{judge} has no estimate from 0 to 100 % for: {item}.")


class JudgesUnfit(TrainerError):
    """The judges cannot be told apart, or one has no name."""


class SheetMoved(TrainerError):
    """The procedure got another revision while the sheet was filled in."""

    def __init__(self) -> None:
        super().__init__(
            "The procedure has another revision now; compare the skills on the sheet and send it again."
        )


@dataclass(frozen=True)
class PanelLine:
    """A kept sheet in the list."""

    panel_id: int
    at: datetime
    kept_by: str
    judges: int
    items: int
    cut: float
    share: float
    spread: float
    is_in_force: bool


@dataclass(frozen=True)
class PanelRoom:
    """What a panel is asked, and the sheets that were kept before, the newest first."""

    module_id: str
    title: str
    document: str
    revision: str
    items: tuple[Skill, ...]
    kept: tuple[PanelLine, ...]


@dataclass(frozen=True)
class Seen:
    """What people answered at the first go, beside what the panel expected.

    `people` answered every item; `passed` of them had at least `needed` right. For each item: the share right, and by how
    much it is larger among those who passed (B-index; None when all passed or nobody). `again` is the share of people for
    whom the same decision would fall a second time and `kappa` that beyond chance (Subkoviak); `dependable` is phi(lambda).
    """

    people: int
    needed: int
    passed: int
    shares: tuple[float, ...]
    parts: tuple[float | None, ...]
    again: float
    kappa: float
    dependable: float | None


@dataclass(frozen=True)
class PanelSheet:
    """A kept sheet: each item with everybody's estimate in per cent, and the cut.

    `seen` is None where too few answered; `why_not` says so.
    """

    line: PanelLine
    module_id: str
    title: str
    document: str
    revision: str
    judges: tuple[str, ...]
    items: tuple[tuple[str, tuple[int, ...]], ...]
    cut: Cut
    seen: Seen | None
    why_not: str


def room(db: Database, actor: Actor, module_id: str) -> PanelRoom:
    """Return what a panel is asked about a module.

    Raises:
        NotFound: no such module is published.
    """
    actor.must(Permission.ANALYSIS_READ)
    with db.reading() as unit:
        revision = in_force(unit, module_id).revision
        published = prepared(unit, revision)
        kept = panels.of_module(unit, module_id)
    return PanelRoom(
        module_id=module_id,
        title=published.module.title,
        document=published.module.document,
        revision=revision,
        items=_items(published),
        kept=tuple(_line(one, revision) for one in kept),
    )


def sheet(db: Database, actor: Actor, module_id: str, panel_id: int) -> PanelSheet:
    """Return a kept sheet.

    Raises:
        NotFound: there is no such sheet of this module.
    """
    actor.must(Permission.ANALYSIS_READ)
    with db.reading() as unit:
        kept = panels.by_id(unit, panel_id)
        if kept is None or kept.module_id != module_id:
            raise NotFound("panel's sheet", panel_id)
        published = prepared(unit, kept.revision)
        revision = in_force(unit, module_id).revision
        firsts = analysis.first_answers(unit, kept.revision, people=MOST_PEOPLE)
    by_judge = kept.sheet["estimates"]
    items = tuple(
        (item["title"], tuple(estimates[place] for estimates in by_judge))
        for place, item in enumerate(kept.sheet["items"])
    )
    cut = _cut(by_judge)
    seen, why_not = _seen([item["skill"] for item in kept.sheet["items"]], firsts, cut)
    return PanelSheet(
        line=_line(kept, revision),
        module_id=module_id,
        title=published.module.title,
        document=published.module.document,
        revision=kept.revision,
        judges=tuple(kept.sheet["judges"]),
        items=items,
        cut=cut,
        seen=seen,
        why_not=why_not,
    )


def keep(
    db: Database,
    actor: Actor,
    module_id: str,
    revision: str,
    judges: Sequence[str],
    estimates: Sequence[Sequence[str]],
    *,
    now: datetime,
) -> int:
    """Work out the cut of a filled-in sheet, keep both, and return the number of the sheet.

    Args:
        db: the database.
        actor: who looks after the procedure.
        module_id: the procedure.
        revision: the revision that the sheet was made of.
        judges: their names; a column without name and estimates is left out.
        estimates: for each judge what was written for each item, in per cent.
        now: the time.

    Raises:
        NotFound: no such module is published.
        SheetMoved: another revision is in force.
        JudgesUnfit, EstimateUnreadable, PanelUnfit: the sheet gives no cut; the text says why.
    """
    actor.must(Permission.PANEL_KEEP)
    with db.writing() as unit:
        current = in_force(unit, module_id).revision
        if current != revision:
            raise SheetMoved
        items = _items(prepared(unit, revision))
        names, numbers = _read(items, judges, estimates)
        found = _cut(numbers)
        written = {
            "items": [{"skill": skill.id, "title": skill.title} for skill in items],
            "judges": names,
            "estimates": numbers,
        }
        cut, spread = round(found.cut * 1000), round(found.spread * 1000)
        panel_id = panels.add(
            unit,
            module_id=module_id,
            revision=revision,
            sheet=written,
            cut_thousandths=cut,
            spread_thousandths=spread,
            by=actor.person_id,
            at=now,
        )
        journal.note(
            unit,
            actor,
            "panel:keep",
            at=now,
            panel=panel_id,
            module=module_id,
            revision=revision,
            cut_thousandths=cut,
            spread_thousandths=spread,
            sheet=written,
        )
    return panel_id


def _seen(
    skills: Sequence[str], firsts: Sequence[tuple[str, str, bool]], cut: Cut
) -> tuple[Seen | None, str]:
    """Return what those who answered every item make of the cut, or why that cannot be told."""
    # numpy only where it is needed: the start of the web does without.
    from trainer.competency import decision_consistency, item_analysis

    of_person: dict[str, dict[str, bool]] = {}
    for person, skill, right in firsts:
        if skill in skills:
            of_person.setdefault(person, {})[skill] = right
    rows = [
        [int(given[skill]) for skill in skills] for given in of_person.values() if len(given) == len(skills)
    ]
    if len(rows) < item_analysis.FEWEST_PEOPLE:
        return None, str(item_analysis.TooFewPeople(len(rows), item_analysis.FEWEST_PEOPLE))
    sums = [sum(row) for row in rows]
    needed = ceil(cut.cut - _NEAR)
    consistency = decision_consistency.from_one_sitting(sums, len(skills), needed)
    seen = Seen(
        people=len(rows),
        needed=needed,
        passed=sum(one >= needed for one in sums),
        shares=tuple(sum(column) / len(rows) for column in zip(*rows, strict=True)),
        parts=item_analysis.b_index(rows, needed),
        again=consistency.agreement,
        kappa=consistency.kappa,
        dependable=item_analysis.phi_lambda(rows, cut.share),
    )
    return seen, ""


def _items(published: Prepared) -> tuple[Skill, ...]:
    return tuple(skill for skill in published.skills if class_of(skill) is SkillClass.ORDINARY)


def _read(
    items: Sequence[Skill], judges: Sequence[str], estimates: Sequence[Sequence[str]]
) -> tuple[list[str], list[list[int]]]:
    names: list[str] = []
    numbers: list[list[int]] = []
    for judge, given in zip(judges, estimates, strict=True):
        name = " ".join(judge.split())
        if not name and not any(one.strip() for one in given):
            continue
        if not 0 < len(name) <= _LONGEST_NAME:
            raise JudgesUnfit(f"Every judge needs a name of at most {_LONGEST_NAME} characters.")
        if name in names:
            raise JudgesUnfit(f"'{name}' stands twice; write the names so that they can be told apart.")
        names.append(name)
        numbers.append([_per_cent(name, skill, one) for skill, one in zip(items, given, strict=True)])
    if len(names) > MOST_JUDGES:
        raise JudgesUnfit(f"A sheet has room for {MOST_JUDGES} judges.")
    return names, numbers


def _per_cent(judge: str, skill: Skill, text: str) -> int:
    written = text.strip().removesuffix("%").strip()
    if not (written.isascii() and written.isdigit() and int(written) <= 100):
        raise EstimateUnreadable(judge, skill.title)
    return int(written)


def _cut(numbers: Sequence[Sequence[int]]) -> Cut:
    return angoff.cut([[one / 100 for one in of_judge] for of_judge in numbers])


def _line(kept: KeptPanel, revision: str) -> PanelLine:
    items = len(kept.sheet["items"])
    return PanelLine(
        panel_id=kept.id,
        at=kept.at,
        kept_by=kept.keeper_name,
        judges=len(kept.sheet["judges"]),
        items=items,
        cut=kept.cut_thousandths / 1000,
        share=kept.cut_thousandths / 1000 / items,
        spread=kept.spread_thousandths / 1000,
        is_in_force=kept.revision == revision,
    )
