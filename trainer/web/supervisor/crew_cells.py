"""The cells of a crew sheet as text, joined here and not cell by cell in the template: a sheet may have thousands."""

from __future__ import annotations

from typing import TYPE_CHECKING

from markupsafe import Markup

from trainer.records.qualification import Standing

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from trainer.records.qualification import CrewCell

# The day stands in a cell only where it matters.
_DATED = (Standing.ENDS_SOON, Standing.LAPSED)


def _opening(standing: Standing, kind: str) -> str:
    if standing is Standing.NOT_ASSIGNED:
        return f'<td class="{kind}"><span class="unseen">not assigned</span><span aria-hidden="true">–</span>'
    return (
        f'<td class="{kind}"><svg role="img" aria-label="{standing.words}"><use href="#hatch-{standing.letter}">'
        f'</use></svg><b><span aria-hidden="true">{standing.letter}</span>'
    )


_CLOSINGS = {standing: "</td>" if standing is Standing.NOT_ASSIGNED else "</b></td>" for standing in Standing}
_OPENINGS = {
    (standing, starts): _opening(standing, "c edge" if starts else "c")
    for standing in Standing
    for starts in (False, True)
}


def cells(row: Iterable[CrewCell], starts: Sequence[bool]) -> Markup:
    """Return the cells of one row; every text in them is made here, so nothing needs escaping.

    Args:
        row: the person's standings.
        starts: for each task whether a group of tasks starts with it.
    """
    pieces = (_cell(cell, start) for cell, start in zip(row, starts, strict=True))
    return Markup("".join(pieces))  # noqa: S704 -- letters and dates alone


def _cell(cell: CrewCell, starts: bool) -> str:
    day = ""
    if cell.until is not None and cell.standing in _DATED:
        iso = cell.until.isoformat()
        day = f'<time datetime="{iso}">{iso[5:]}</time>'
    return f"{_OPENINGS[cell.standing, starts]}{day}{_CLOSINGS[cell.standing]}"
