"""A shape has no form, or more than one.

Exactly one key says what it is: `profile`, `mirror_of`, `body`, `oring`, `spring`, `stud`, `nut`, `bolt`,
`castle_nut`, `pin`, `plug` or `tube`.

Wrong:
    shapes:
      body: {at: 10}

Right:
    shapes:
      body: {at: 10, profile: [[10, 0], [20, 0], [20, 10], [10, 10]]}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.names import quoted
from trainer.drawing.soundness import FORMS
from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "shape-of-one-form"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each shape that does not have exactly one form."""
    module = checked.module
    for name in module.geometry.shapes if module.geometry else ():
        # What is written counts, readable or not: what cannot be read is told where it stands.
        forms = [form for form in FORMS if checked.says("shapes", name, form)]
        if len(forms) == 1:
            continue
        has = f"is {quoted(forms)} at once" if forms else "has no form"
        mend = (
            "Keep one of them."
            if forms
            else "Give it a `profile`, or say what it is, such as `oring` or `nut`."
        )
        yield Finding(CODE, SIGNAL, module.place("shapes", name), f"The shape of `{name}` {has}.", mend)
