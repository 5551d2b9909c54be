"""The steps leave so much freedom that their orders cannot be counted.

Where nearly everything may come anywhere there is little to practise, and chance marks it right. Mostly `needs` are
missing, or what a part rests on. Each phase is counted, and the whole procedure when all of its phases can be.

Wrong:
    facts:
      {a: A is noted, b: B is noted, c: C is noted, d: D is noted, e: E is noted, f: F is noted,
       g: G is noted, h: H is noted, i: I is noted, j: J is noted, k: K is noted, l: L is noted,
       m: M is noted, n: N is noted, o: O is noted, p: P is noted, q: Q is noted, r: R is noted,
       s: S is noted, t: T is noted, u: U is noted}
    steps:
      [{id: a, do: Note A, makes: a}, {id: b, do: Note B, makes: b}, {id: c, do: Note C, makes: c},
       {id: d, do: Note D, makes: d}, {id: e, do: Note E, makes: e}, {id: f, do: Note F, makes: f},
       {id: g, do: Note G, makes: g}, {id: h, do: Note H, makes: h}, {id: i, do: Note I, makes: i},
       {id: j, do: Note J, makes: j}, {id: k, do: Note K, makes: k}, {id: l, do: Note L, makes: l},
       {id: m, do: Note M, makes: m}, {id: n, do: Note N, makes: n}, {id: o, do: Note O, makes: o},
       {id: p, do: Note P, makes: p}, {id: q, do: Note Q, makes: q}, {id: r, do: Note R, makes: r},
       {id: s, do: Note S, makes: s}, {id: t, do: Note T, makes: t}, {id: u, do: Note U, makes: u},
       {id: sheet_1, do: Fill sheet 1, needs: [a, c, e, g, i, k, m, o, q, s, u]},
       {id: sheet_2, do: Fill sheet 2, needs: [b, c, f, g, j, k, n, o, r, s]},
       {id: sheet_3, do: Fill sheet 3, needs: [d, e, f, g, l, m, n, o, t, u]},
       {id: sheet_4, do: Fill sheet 4, needs: [h, i, j, k, l, m, n, o]},
       {id: sheet_5, do: Fill sheet 5, needs: [p, q, r, s, t, u]}]

Right:
    facts:
      {a: A is noted, b: B is noted, c: C is noted}
    steps:
      - {id: a, do: Note A, makes: a}
      - {id: b, do: Note B, makes: b}
      - {id: c, do: Note C, makes: c}
      - {id: sheet, do: Fill the sheet, needs: [a, b, c]}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.counting import LegalOrders, TooManyOrders
from trainer.procedure.findings import Finding, Signal
from trainer.procedure.window import phase, whole
from trainer.procedure.wording import in_sentence

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked
    from trainer.procedure.window import Window

CODE = "too-many-orders"
SIGNAL = Signal.WARNING


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each phase whose orders cannot be counted, or one for the whole."""
    procedure, module = checked.procedure, checked.module
    if not checked.has_order:
        return
    used = {step.phase for step in module.steps.values()}
    windows = [("phases", name, phase(procedure, name)) for name in module.phases if name in used]
    told = False
    for table, name, window in (*windows, ("steps", "", whole(procedure))):
        too_many = _too_many(window) if name or not told else ""
        if too_many:
            told = True
            where = f"the phase `{name}`" if name else "the whole procedure"
            mend = "Add what is missing in `needs`, `rests_on` or `clamp`, or split it into phases."
            yield Finding(
                CODE, SIGNAL, module.place(table, name), f"In {where} {in_sentence(too_many)}", mend
            )


def _too_many(window: Window) -> str:
    try:
        LegalOrders(window.order)
    except TooManyOrders as problem:
        return str(problem)
    return ""
