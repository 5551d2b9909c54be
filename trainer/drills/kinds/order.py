"""Order: put a stretch of the procedure in an order that works. Every legal order is right."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from trainer.competency.evidence import Skill
from trainer.competency.mastery import guess_of_order
from trainer.drills.answer_forms import Arrange, Line
from trainer.drills.kind import Asked, Moment
from trainer.drills.lines import letters, numbers_of
from trainer.drills.mark import Incident, Mark, PlacedLine, Remark
from trainer.drills.sketch import has_shape, sketch
from trainer.procedure import window as windows
from trainer.procedure.consequence import told
from trainer.procedure.counting import LegalOrders
from trainer.procedure.order_mark import mark_order
from trainer.procedure.states import Aspect
from trainer.procedure.wording import capital, full_stop, in_sentence, listed

if TYPE_CHECKING:
    from collections.abc import Mapping

    from trainer.drills.answer_forms import Answer
    from trainer.drills.kind import Setting
    from trainer.drills.sketch import Sketch
    from trainer.procedure.draw import Draw
    from trainer.procedure.model import Caution, Module
    from trainer.procedure.order_mark import OrderMark
    from trainer.procedure.precedence import Reason
    from trainer.procedure.window import Procedure, Window

KIND = "order"
TITLE = "Put it in order"

FEWEST_LINES, MOST_LINES = 4, 8
# A stretch that a blind guess gets right more often than this tells too little (own choice).
GUESSABLE = 0.05
_TRIES = 24
# Beside the phases: a stretch that holds a relation whose breach can kill or maim, wherever it stands.
DANGEROUS = "dangerous"
_NEIGHBOURS = 10
_MOST_FACTS = 5


@lru_cache(maxsize=64)
def skills(procedure: Procedure) -> tuple[Skill, ...]:
    """Return one skill a phase that is long enough and has something to put in order."""
    found = []
    for phase in procedure.module.phases.values():
        steps = [step for step in procedure.module.steps.values() if step.phase == phase.id]
        if len(steps) < FEWEST_LINES:
            continue
        window = windows.phase(procedure, phase.id)
        if any(window.order.before):
            critical = bool(_critical_relations(window.relations))
            found.append(Skill(f"{KIND}:{phase.id}", f"{in_sentence(phase.title)}, in order", KIND, critical))
    if _critical_relations(procedure.precedence.relations):
        found.append(Skill(f"{KIND}:{DANGEROUS}", "what must never come first", KIND, critical=True))
    return tuple(found)


def _critical_relations(relations: Mapping[tuple[str, str], tuple[Reason, ...]]) -> list[tuple[str, str]]:
    return [
        pair for pair, reasons in relations.items() if any(r.signal and r.signal.is_critical for r in reasons)
    ]


def missing(procedure: Procedure) -> str:
    """Return what to add to the module."""
    if skills(procedure):
        return ""
    return f"Add `phases` with at least {FEWEST_LINES} steps each, some of which depend on others."


def make(setting: Setting) -> Asked:
    """Return the lines in an order that does not work, to be put right."""
    window, shown = _problem(setting)
    module = setting.module
    lines = tuple(
        Line(
            letter,
            module.steps[step].do,
            numbers_of(module, module.steps[step].targets),
            _thumbnail(module, step),
        )
        for letter, step in zip(letters(len(shown)), shown, strict=True)
    )
    phase = module.phases.get(_phase(setting))
    title = phase.title if phase else "Steps from all over the job"
    return Asked(
        ask=f"{title}: put these steps in an order that works.",
        given=_given(window),
        form=Arrange(lines, "First", "Last"),
        cautions=_cautions(module, window),
        guess=float(_guess(window)),
    )


def _thumbnail(module: Module, step: str) -> Sketch | None:
    """Return what the step acts on, marked in the whole machine: it tells where, and nothing of what is on or off."""
    things = (*module.steps[step].targets, *module.steps[step].along)
    return sketch("thumbnail", step=step) if any(has_shape(module, thing) for thing in things) else None


def key(setting: Setting) -> Answer:
    """Return one legal order."""
    window, shown = _problem(setting)
    letter_of = dict(zip(shown, letters(len(shown)), strict=True))
    legal = LegalOrders(window.order).draw(setting.draw("key"))
    return [letter_of[window.steps[number]] for number in legal]


def mark(setting: Setting, answer: Answer) -> Mark:
    """Return the mark: the fewest moves, what would have happened first, and where each line belongs."""
    window, shown = _problem(setting)
    step_of = dict(zip(letters(len(shown)), shown, strict=True))
    order = [step_of[letter] for letter in answer]
    result = mark_order(window, order)
    letter_of = {step: letter for letter, step in step_of.items()}
    return Mark(
        right=result.legal,
        credit=result.credit,
        critical=result.critical,
        headline=_headline(setting.module, window, result),
        remarks=tuple(
            Remark(letter_of[item.after], item.text, item.signal, relation=(item.before, item.after))
            for item in result.broken
        ),
        incident=_incident(result, letter_of),
        instead=_instead(setting.module, order, result),
        moves=result.moves,
        lines=_placed(setting.module, order, result, letter_of),
    )


def moment(setting: Setting, answer: Answer) -> Moment | None:
    """Return the moment in which an answer lets an energy loose, None when it does not."""
    window, shown = _problem(setting)
    step_of = dict(zip(letters(len(shown)), shown, strict=True))
    order = [step_of[letter] for letter in answer]
    first = mark_order(window, order).incident
    if first is None:
        return None
    module = setting.module
    loose = [e.id for e in module.energies.values() if told(e, module, setting.size) == first.text]
    done = windows.done_after(window, order[: first.position - 1])
    return Moment(first.step, done, loose[0]) if loose else None


def _phase(setting: Setting) -> str:
    return setting.skill.id.partition(":")[2]


@lru_cache(maxsize=256)
def _problem(setting: Setting) -> tuple[Window, tuple[str, ...]]:
    """Return the stretch and its steps in the order shown: a slice of a random legal order of the phase."""
    draw = setting.draw()
    best: tuple[float, Window] | None = None
    for _ in range(_TRIES):
        window = _stretch(setting, draw)
        guess = _guess(window)
        if best is None or guess < best[0]:
            best = (guess, window)
        if guess <= GUESSABLE or _is_whole_phase(setting, window):
            break
    assert best is not None  # noqa: S101  # _TRIES is not zero
    return best[1], _shown(best[1], draw)


def _is_whole_phase(setting: Setting, window: Window) -> bool:
    """Whether the stretch is a short phase as it stands: drawing again would give the same."""
    return _phase(setting) != DANGEROUS and len(window.steps) == sum(
        step.phase == _phase(setting) for step in setting.module.steps.values()
    )


def _stretch(setting: Setting, draw: Draw) -> Window:
    if _phase(setting) == DANGEROUS:
        return _around_danger(setting.procedure, draw)
    return _slice(setting.procedure, windows.phase(setting.procedure, _phase(setting)), draw)


def _around_danger(procedure: Procedure, draw: Draw) -> Window:
    """Return the two steps of a dangerous relation with steps that stand near them in the file."""
    index = procedure.precedence.index
    critical = _critical_relations(procedure.precedence.relations)
    close = [pair for pair in critical if index[pair[1]] - index[pair[0]] <= _NEIGHBOURS]
    pair = draw.choice(close or critical)
    places = [index[step] for step in pair]
    near = sorted(
        (step for step in procedure.precedence.steps if step not in pair),
        key=lambda step: min(abs(index[step] - place) for place in places),
    )[:_NEIGHBOURS]
    wanted = min(len(near), FEWEST_LINES + draw.below(MOST_LINES - FEWEST_LINES - 1))
    return windows.chosen(procedure, (*pair, *draw.sample(near, wanted)))


def _slice(procedure: Procedure, phase: Window, draw: Draw) -> Window:
    """Return consecutive steps of a random legal order: nothing of the phase lies between them."""
    if len(phase.steps) <= MOST_LINES:
        return phase
    length = FEWEST_LINES + 2 + draw.below(MOST_LINES - FEWEST_LINES - 1)
    legal = LegalOrders(phase.order).draw(draw)
    start = draw.below(len(legal) - length + 1)
    return windows.chosen(procedure, (phase.steps[number] for number in legal[start : start + length]))


@lru_cache(maxsize=1024)
def _count(window: Window) -> int:
    """Return how many orders are legal: choosing the stretch, asking and marking all go by it."""
    return LegalOrders(window.order).count


def _guess(window: Window) -> float:
    """Return the probability that a blind guess is right: legal orders over all orders."""
    return guess_of_order(_count(window), len(window.steps))


def _shown(window: Window, draw: Draw) -> tuple[str, ...]:
    """Return the steps shuffled, and not already right unless every order is."""
    for _ in range(_TRIES):
        numbers = draw.shuffled(range(len(window.steps)))
        if not window.order.is_legal(numbers):
            break
    return tuple(window.steps[number] for number in numbers)


def _given(window: Window) -> str:
    """Return the situation in which the stretch begins: of what its steps need, what holds already."""
    states = windows.states_before(window)
    operations = window.procedure.plan.operations
    needed = {need.variable for step in window.steps for need in operations[step].needs}
    facts = [
        in_sentence(fact.text)
        for name, fact in window.procedure.module.facts.items()
        if (Aspect.FACT, name) in needed and states[Aspect.FACT, name]
    ]
    top = "The first step stands at the top."
    return f"{top} As you begin: {full_stop('; '.join(facts[-_MOST_FACTS:]))}" if facts else top


def _cautions(module: Module, window: Window) -> tuple[Caution, ...]:
    names = dict.fromkeys(name for step in window.steps for name in module.steps[step].cautions)
    found = [module.cautions[name] for name in names if name in module.cautions]
    return tuple(sorted(found, key=lambda caution: caution.signal.rank))


def _headline(module: Module, window: Window, result: OrderMark) -> str:
    if result.legal:
        count = _count(window)
        many = f" It is one of {count:,} that do." if count > 1 else " It is the only one that does."
        return f"Right: this order works.{many}"
    if result.incident is None:
        return "This order does not work."
    step = module.steps[result.incident.step]
    return f"Line {result.incident.position} comes too early: {in_sentence(full_stop(step.do))}"


def _incident(result: OrderMark, letter_of: dict[str, str]) -> Incident | None:
    if result.incident is None:
        return None
    first = result.incident
    return Incident(letter_of[first.step], first.position, first.signal, first.text)


def _instead(module: Module, order: list[str], result: OrderMark) -> str:
    """Return what comes before the line that went wrong, with the numbers of the answer's lines."""
    if result.incident is None:
        return ""
    step = result.incident.step
    earlier = [item.before for item in result.broken if item.after == step]
    if not earlier:
        return ""
    named = [f"{in_sentence(module.steps[name].do)} (your line {order.index(name) + 1})" for name in earlier]
    return f"{capital(listed(named))} first. Then: {in_sentence(full_stop(module.steps[step].do))}"


def _placed(
    module: Module, order: list[str], result: OrderMark, letter_of: dict[str, str]
) -> tuple[PlacedLine, ...]:
    return tuple(
        PlacedLine(
            letter_of[step],
            module.steps[step].do,
            number,
            result.nearest.index(step) + 1,
            step in result.move,
        )
        for number, step in enumerate(order, start=1)
    )
