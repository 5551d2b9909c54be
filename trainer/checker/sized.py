"""Values given by size, as they stand in the file: for which sizes, and for which not."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from trainer.checker.names import meant
from trainer.procedure.blocks import Block, BySizeOf, EachNamed, StepList, TableOf
from trainer.procedure.keys import MODULE

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from trainer.procedure.model import Module
    from trainer.procedure.values import Path, Value


@dataclass(frozen=True)
class BySizeValue:
    """One value with an entry a size: where it stands, and the sizes that the module claims but it lacks.

    `unknown` maps each size that the module does not claim to the claimed one that was probably meant.
    """

    path: Path
    lacking: tuple[str, ...]
    unknown: dict[str, str]

    @property
    def words(self) -> str:
        """The value in words: `mass` of `cover`."""
        thing, *keys = self.path[1:]
        return f"`{'.'.join(map(str, keys))}` of `{thing}`"


def by_size_values(module: Module) -> Iterator[BySizeValue]:
    """Yield every value of the file that is given by size; none when the file claims no sizes."""
    if not module.sizes:
        return
    named: dict[Path, list[str]] = {}
    for path in module.places:
        # Entries of a list have numbers for keys, entries by size have texts.
        if path and isinstance(path[-1], str):
            named.setdefault(path[:-1], []).append(path[-1])
    for path, sizes in named.items():
        if isinstance(_kind(path), BySizeOf):
            yield _value(path, sizes, module.sizes)


def _value(path: Path, given: Sequence[str], claimed: Sequence[str]) -> BySizeValue:
    lacking = [size for size in claimed if size not in given]
    unknown = {size: meant(size, lacking) or meant(size, claimed) for size in given if size not in claimed}
    # A misspelt size is told once, as unknown; the size that was meant is then not missing as well.
    told = set(unknown.values())
    return BySizeValue(path, tuple(size for size in lacking if size not in told), unknown)


@lru_cache(maxsize=8192)
def _kind(path: Path) -> Value | None:
    """Return the kind of value that the table of keys wants at a path."""
    value: Value | None = MODULE
    for part in path:
        if isinstance(value, Block):
            key = value.by_name.get(str(part))
            value = key.value if key else None
        elif isinstance(value, TableOf | StepList):
            value = value.block
        elif isinstance(value, EachNamed):
            value = value.inner
        else:
            return None
    return value


def sizes_written(module: Module) -> list[str]:
    """Return the list of sizes as it stands in the file, repetitions too; what is no text is left empty."""
    # The model keeps each size once. The canonical form is what was written.
    procedure = json.loads(module.canonical or b"{}").get("procedure", {})
    sizes = procedure.get("sizes")
    return [size if isinstance(size, str) else "" for size in sizes] if isinstance(sizes, list) else []
