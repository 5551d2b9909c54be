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


def _undated(standing: Standing, kind: str) -> str:
    if standing is Standing.NOT_ASSIGNED:
        return f'<td class={kind} aria-label="{standing.words}">{standing.letter}'
    return (
        f'<td class={kind}><svg role=img aria-label="{standing.words}"><use href="#hatch-{standing.letter}"/>'
        f"</svg><b>{standing.letter}</b>"
    )


# Each kind of cell is made once. The end tag may be left out, and a sheet of sixty by forty is a third smaller so.
_CELLS = {
    (standing, starts): _undated(standing, '"c edge"' if starts else "c")
    for standing in Standing
    for starts in (False, True)
}


def cells(row: Iterable[CrewCell], starts: Sequence[bool]) -> Markup:
    """Return the cells of one row; every text in them is made here, so nothing needs escaping.

    Args:
        row: the person's standings.
        starts: for each task whether a group of tasks starts with it.
    """
    pieces = [
        _dated(cell, start) if cell.until and cell.standing in _DATED else _CELLS[cell.standing, start]
        for cell, start in zip(row, starts, strict=True)
    ]
    return Markup("".join(pieces))  # noqa: S704 -- letters and dates alone


def _dated(cell: CrewCell, starts: bool) -> str:
    iso = cell.until.isoformat() if cell.until else ""
    return f"{_CELLS[cell.standing, starts].removesuffix('</b>')}<time datetime={iso}>{iso[5:]}</time></b>"
