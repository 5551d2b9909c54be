"""What the owner of the programme keeps: its numbers, the sheets of panels, the plans of cover."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.store import panels, plans, policies, sequences

if TYPE_CHECKING:
    from trainer.actions.rebuild.entry import Entry
    from trainer.store.session import Unit


def set_policy(unit: Unit, entry: Entry) -> None:
    """Put numbers in force; those that the program brings along are told by nobody."""
    told = entry.told
    policies.add(
        unit, told["numbers"], because=told["because"], by=entry.by, at=entry.at, number=told["number"]
    )


def keep_panel(unit: Unit, entry: Entry) -> None:
    """Keep a sheet of a panel."""
    told = entry.told
    panels.add(
        unit,
        module_id=told["module"],
        revision=told["revision"],
        sheet=told["sheet"],
        cut_thousandths=told["cut_thousandths"],
        spread_thousandths=told["spread_thousandths"],
        by=entry.by,
        at=entry.at,
        number=told["panel"],
    )


def keep_plan(unit: Unit, entry: Entry) -> None:
    """Keep a version of a plan."""
    told = entry.told
    sequences.reach(unit, "plans", told["plan"])
    plans.add(
        unit,
        number=told["plan"],
        version=told["version"],
        crew=told["crew"],
        sheet=told["sheet"],
        by=entry.by,
        at=entry.at,
    )
