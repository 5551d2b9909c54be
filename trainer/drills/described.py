"""A part in words alone: what it is made of, what it touches and what it does, without what it is called.

It stands for a place in a drawing wherever the drawing cannot be seen.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from trainer.procedure.model import Renewal
from trainer.procedure.wording import in_sentence, listed, the

if TYPE_CHECKING:
    from collections.abc import Iterable

    from trainer.procedure.model import Fastener, Module, Part

# Of many neighbours the first few tell enough.
_MOST = 2


def described(module: Module, thing: str, size: str) -> str:
    """Return a part or set of fasteners in words, empty when the procedure says nothing of it.

    A neighbour whose name shares a word with its own is left out, or it would be called by half its name.

    Args:
        module: the procedure.
        thing: the id of a part or set of fasteners.
        size: the size on the bench.
    """
    if thing in module.parts:
        clauses = _of_part(module, module.parts[thing])
    else:
        clauses = _of_fastener(module, module.fasteners[thing], size)
    return "; ".join(clause for clause in clauses if clause)


def _of_part(module: Module, part: Part) -> list[str]:
    def others(names: Iterable[str]) -> str:
        return _others(module, part.name, names)

    carried = [other.id for other in module.parts.values() if part.id in other.rests_on]
    holding = [fastener.id for fastener in module.fasteners.values() if part.id in fastener.clamps]
    energies = [module.energies[name].name for name in part.contains if name in module.energies]
    way = part.way_round
    return [
        f"of {in_sentence(part.material)}" if part.material else "",
        _clause("sits on", others(part.rests_on)),
        _clause("under", others(carried)),
        _clause("round", others(part.encloses)),
        _clause("locks", others(part.locks)),
        _clause("held by", others(holding)),
        _clause("keeps in", listed([in_sentence(name) for name in energies[:_MOST]])),
        f"has {_a(way.feature)}" if way is not None and not way.either else "",
        "never used twice" if part.renew is Renewal.ALWAYS else "",
    ]


def _of_fastener(module: Module, fastener: Fastener, size: str) -> list[str]:
    def others(names: Iterable[str]) -> str:
        return _others(module, fastener.name, names)

    count = fastener.count.at(size or None)
    thread = fastener.thread.at(size or None) if fastener.thread else None
    locking = [part.id for part in module.parts.values() if fastener.id in part.locks]
    return [
        f"{'a single one' if count == 1 else f'{count} of them'}{f', thread {thread}' if thread else ''}"
        if count
        else "",
        _clause("clamps", others(fastener.clamps)),
        _clause("locked by", others(locking)),
    ]


def _others(module: Module, name: str, things: Iterable[str]) -> str:
    own = _words(name)
    told = [the(module.name(other)) for other in things if not own & _words(module.name(other))]
    return listed(told[:_MOST])


def _words(name: str) -> set[str]:
    return {word.rstrip("s") for word in re.findall(r"[\w-]+", name.casefold())}


def _a(name: str) -> str:
    return f"{'an' if name[:1].casefold() in 'aeiou' else 'a'} {name}"


def _clause(verb: str, others: str) -> str:
    return f"{verb} {others}" if others else ""
