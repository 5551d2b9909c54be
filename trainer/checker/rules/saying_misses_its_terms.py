"""The model answer of a saying does not hold the terms that an answer must hold.

Whoever said it word for word as in the procedure would be marked wrong.

Wrong:
    sayings:
      dry: {ask: Why does the disc go in dry?, say: Grease picks up grit, terms: [grease, dirt]}

Right:
    sayings:
      dry: {ask: Why does the disc go in dry?, say: Grease picks up grit, terms: [grease, dirt/grit]}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.drills.kinds import say_it
from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "saying-misses-its-terms"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each term that the model answer lacks."""
    module = checked.module
    for saying in module.sayings.values():
        for number, term in enumerate(saying.terms):
            if saying.say and not say_it.holds(saying.say, term):
                what = f"The model answer of `{saying.id}` does not hold `{term}`."
                mend = "Add the word to `say`, or the word used there to the term, with `/`."
                yield Finding(CODE, SIGNAL, module.place("sayings", saying.id, "terms", number), what, mend)
