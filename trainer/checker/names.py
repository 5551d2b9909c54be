"""Names that nothing defines, and which name was probably meant."""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping

    from trainer.checker.checked import Checked
    from trainer.procedure.model import Reference


@dataclass(frozen=True)
class UnknownName:
    """A name as used, and the name that was probably meant (empty when none is near)."""

    reference: Reference
    meant: str

    @property
    def key(self) -> str:
        """The key that it stands under."""
        return next(part for part in reversed(self.reference.path) if isinstance(part, str))


@lru_cache(maxsize=1)
def unknown_names(checked: Checked) -> tuple[UnknownName, ...]:
    """Return each use of a name that none of its tables defines; many rules ask, one after the other."""
    module, shared = checked.module, checked.shared
    tables: dict[str, Mapping[str, object]] = {
        "parts": module.parts,
        "fasteners": module.fasteners,
        "lines": module.lines,
        "facts": module.facts,
        "energies": module.energies,
        "phases": module.phases,
        "steps": module.steps,
        "cautions": {**shared.cautions, **module.cautions},
        "tools": shared.tools,
        "tasks": shared.tasks,
        "shapes": module.geometry.shapes if module.geometry else {},
        "dimensions": module.geometry.drawing.get("dimensions", {}) if module.geometry else {},
        "pieces": module.station.pieces if module.station else {},
    }
    return tuple(
        UnknownName(
            reference, meant(reference.name, [n for table in reference.tables for n in tables[table]])
        )
        for reference in module.references
        if not any(reference.name in tables[table] for table in reference.tables)
    )


def misspelt(checked: Checked, *keys: str) -> set[str]:
    """Return the names that were probably meant where unknown ones stand under these keys."""
    return {unknown.meant for unknown in unknown_names(checked) if unknown.key in keys}


def meant(name: str, known: Collection[str]) -> str:
    """Return the known name that is nearest to a misspelt one, or an empty text."""
    close = difflib.get_close_matches(name, list(known), n=1, cutoff=0.6)
    return close[0] if close else ""


def quoted(names: Collection[str]) -> str:
    """Return `a`, `b` and `c`, each in backticks."""
    marked = [f"`{name}`" for name in names]
    if len(marked) < 2:
        return "".join(marked)
    return f"{', '.join(marked[:-1])} and {marked[-1]}"
