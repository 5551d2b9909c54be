"""The cells of a crew sheet as text, joined here and not cell by cell in the template: a sheet may have thousands."""

from __future__ import annotations

from typing import TYPE_CHECKING

from markupsafe import Markup

from trainer.records.qualification import Standing

if TYPE_CHECKING:
    from collections.abc import Iterable

    from trainer.records.qualification import CrewCell

# The day stands in a cell only where it matters.
_DATED = (Standing.ENDS_SOON, Standing.LAPSED)
_EMPTY = '<td class="c"><span class="unseen">not assigned</span><span aria-hidden="true">–</span></td>'


def _opening(standing: Standing) -> str:
    return (
        f'<td class="c"><svg role="img" aria-label="{standing.words}">'
        f'<use href="#hatch-{standing.letter}"></use></svg><b><span aria-hidden="true">{standing.letter}</span>'
    )


_OPENINGS = {standing: _opening(standing) for standing in Standing if standing is not Standing.NOT_ASSIGNED}


def cells(row: Iterable[CrewCell]) -> Markup:
    """Return the cells of one row; every text in them is made here, so nothing needs escaping."""
    return Markup("".join(_cell(cell) for cell in row))  # noqa: S704 -- letters and dates alone


def _cell(cell: CrewCell) -> str:
    if cell.standing is Standing.NOT_ASSIGNED:
        return _EMPTY
    day = ""
    if cell.until is not None and cell.standing in _DATED:
        iso = cell.until.isoformat()
        day = f'<time datetime="{iso}">{iso[5:]}</time>'
    return f"{_OPENINGS[cell.standing]}{day}</b></td>"
