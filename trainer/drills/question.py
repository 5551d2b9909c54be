"""A question as a trainee gets it. It never holds its key: marking makes the key anew from module and seed."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from trainer.drills.answer_forms import Form
    from trainer.drills.sketch import Sketch
    from trainer.procedure.model import Caution


@dataclass(frozen=True)
class Question:
    """One question: the same module revision, kind, size and seed give the same question for ever.

    `ask` is the imperative ("Put the strip-down in order."), `given` the situation it starts from,
    `cautions` what has to be read with it, `guess` the probability of a right answer by blind guessing, `picture` what
    is seen of the situation.
    """

    kind: str
    module: str
    revision: str
    skill: str
    seed: int
    size: str
    title: str
    ask: str
    given: str
    form: Form
    cautions: tuple[Caution, ...] = ()
    guess: float = 0.0
    picture: Sketch | None = None

    def as_data(self) -> dict[str, Any]:
        """Return the question as plain JSON values, as `trainer ask --format json` prints it.

        Pictures are left out: what they are drawn from may hold the answer.
        """
        form = {"form": self.form.NAME, **asdict(self.form)}
        head = {
            name: getattr(self, name)
            for name in ("kind", "skill", "module", "revision", "seed", "size", "title", "ask", "given")
        }
        cautions = [{"signal": str(c.signal), "text": c.text} for c in self.cautions]
        return {**head, "cautions": cautions, **_plain(form)}


# The field of a question, row, option or line that says how its picture is drawn.
_PICTURE = "picture"


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items() if key != _PICTURE}
    if isinstance(value, (list, tuple)):
        return [_plain(item) for item in value]
    return value
