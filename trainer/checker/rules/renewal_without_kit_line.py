"""Something is renewed whenever it is disturbed and has no line in the parts kit.

The store picks the kit from these lines; what has none is missing on the day.

Wrong:
    parts:
      gasket: {renew: always_when_disturbed}

Right:
    parts:
      gasket: {renew: always_when_disturbed, kit: "Cover gasket, 1.5 mm"}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal
from trainer.procedure.model import Renewal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "renewal-without-kit-line"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each part and fastener that lacks its kit line."""
    module = checked.module
    things = [("parts", part.id, part.renew) for part in module.parts.values()]
    things += [("fasteners", fastener.id, fastener.renew) for fastener in module.fasteners.values()]
    for table, name, renew in things:
        if renew is Renewal.ALWAYS and not checked.says(table, name, "kit"):
            what = f"`{name}` is renewed whenever it is disturbed, but has no line in the parts kit."
            place = module.place(table, name, "renew")
            yield Finding(CODE, SIGNAL, place, what, "Add `kit:` with its line as the store knows it.")
