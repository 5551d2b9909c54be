"""A part is to be shown with a damage that its form does not have.

The picture would not be drawn, and the question about it not asked. A form has to be said before its damages are.

Wrong:
    parts:
      ring:
        renew: on_condition
        kit: O-ring
        judged: {unsound: [a cut]}
        seen_as: o_ring
        damages: [nick, galled]

Right:
    parts:
      ring:
        renew: on_condition
        kit: O-ring
        judged: {unsound: [a cut]}
        seen_as: o_ring
        damages: [nick, blister]
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.damage import DAMAGES
from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "damage-unknown"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each such damage."""
    module = checked.module
    for table, things in (("parts", module.parts), ("fasteners", module.fasteners)):
        for name, thing in things.items():
            known = [damage.id for damage in DAMAGES[thing.seen_as]] if thing.seen_as else []
            mend = (
                f"Take some of: {', '.join(known)}." if known else "Say first, by `seen_as`, how it is shown."
            )
            for number, damage in enumerate(thing.damages):
                if damage not in known:
                    what = f"`{name}` is to be shown with `{damage}`, which its form does not have."
                    place = module.place(table, name, "damages", number)
                    yield Finding(CODE, SIGNAL, place, what, mend)
