"""The cells of a crew sheet as text, joined here and not cell by cell in the template: a sheet may have thousands."""

from __future__ import annotations

from typing import TYPE_CHECKING

from markupsafe import Markup

from trainer.records.qualification import CrewCell, Standing

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

# The day stands in a cell only where it matters.
_DATED = (Standing.ENDS_SOON, Standing.LAPSED)


def _undated(cell: CrewCell, kind: str) -> str:
    if cell.standing is Standing.NOT_ASSIGNED:
        return f'<td class={kind} aria-label="{cell.words}">{cell.letter}'
    return (
        f'<td class={kind}><svg role=img aria-label="{cell.words}"><use href="#hatch-{cell.standing.letter}"/>'
        f"</svg><b>{cell.letter}</b>"
    )


# Each kind of cell is made once. The end tag may be left out, and a sheet of sixty by forty is a third smaller so.
_CELLS = {
    (standing, on_paper, starts): _undated(CrewCell(standing, None, on_paper), '"c edge"' if starts else "c")
    for standing in Standing
    for on_paper in (False, True)
    for starts in (False, True)
}


def cells(row: Iterable[CrewCell], starts: Sequence[bool]) -> Markup:
    """Return the cells of one row; every text in them is made here, so nothing needs escaping.

    Args:
        row: the person's standings.
        starts: for each task whether a group of tasks starts with it.
    """
    pieces = [
        _dated(cell, start)
        if cell.until and cell.standing in _DATED
        else _CELLS[cell.standing, cell.on_paper, start]
        for cell, start in zip(row, starts, strict=True)
    ]
    return Markup("".join(pieces))  # noqa: S704 -- letters and dates alone


def _dated(cell: CrewCell, starts: bool) -> str:
    iso = cell.until.isoformat() if cell.until else ""
    return f"{_CELLS[cell.standing, cell.on_paper, starts].removesuffix('</b>')}<time datetime={iso}>{iso[5:]}</time></b>"
