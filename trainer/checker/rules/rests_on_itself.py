"""Parts rest on each other in a circle.

`rests_on` says what a part sits on, bottom to top. In a circle nothing could ever go in first.

Wrong:
    parts:
      gasket: {rests_on: seat}
      seat: {rests_on: gasket}

Right:
    parts:
      gasket: {}
      seat: {rests_on: gasket}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.told_once import rests_in_circles
from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "rests-on-itself"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each knot of parts, with a shortest way round it."""
    for circle in rests_in_circles(checked):
        first, *more = zip(circle, (*circle[1:], circle[0]), strict=True)
        way = ", ".join([f"`{first[0]}` rests on `{first[1]}`", *(f"`{a}` on `{b}`" for a, b in more)])
        what = f"{way}: nothing of it could ever go in first."
        mend = "Turn one of these round, or take it out: `rests_on` names what is below."
        yield Finding(CODE, SIGNAL, checked.module.place("parts", circle[0], "rests_on"), what, mend)
