"""Right tool: for step and size the tool, among them right ones that look wrong, and how a part is lifted.

Who or what lifts a part, and the sling it hangs in, are worked out from mass, reach and angle each time, not looked up.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from trainer.competency.evidence import Skill
from trainer.drills import choices, lift_choice
from trainer.drills.choices import Choice, Verdict
from trainer.drills.kind import Asked
from trainer.drills.lines import letters
from trainer.procedure.model import Hazard, Tooling
from trainer.procedure.wording import full_stop, in_sentence

if TYPE_CHECKING:
    from trainer.drills.answer_forms import Answer
    from trainer.drills.kind import Setting
    from trainer.drills.mark import Mark
    from trainer.procedure.draw import Draw
    from trainer.procedure.model import Module, Part
    from trainer.procedure.window import Procedure

KIND = "right-tool"
TITLE = "Right tool"

ROWS, OPTIONS = 4, 4


@lru_cache(maxsize=64)
def skills(procedure: Procedure) -> tuple[Skill, ...]:
    """Return the one skill, when the module tells tools or parts to be lifted, two at every size at least."""
    module = procedure.module
    if any(len(_tools(module, size)) + len(_lifted(module, size)) < 2 for size in module.sizes):
        return ()
    return (Skill(KIND, "tools, lifting and slings", KIND, critical=True),)


def missing(procedure: Procedure) -> str:
    """Return what to add to the module."""
    return "" if skills(procedure) else "Add `tooling`, and `handled` to parts that have a `mass`."


def make(setting: Setting) -> Asked:
    """Return a row a tool, a lift or a sling."""
    problem = _problem(setting)
    return Asked(
        ask="With what do you do it?",
        given=f"{setting.size}. Lifts are now and then, with a fair grip.",
        form=choices.form(problem),
        guess=choices.guess(problem),
    )


def key(setting: Setting) -> Answer:
    """Return the right one of each row."""
    return choices.key(_problem(setting))


def mark(setting: Setting, answer: Answer) -> Mark:
    """Return the mark; an overloaded sling is critical."""
    right = "Right: it does the work and leaves no mark on anything."
    return choices.mark(_problem(setting), answer, right, "{} done with the wrong thing.")


def _tools(module: Module, size: str) -> list[Tooling]:
    return [
        tooling
        for tooling in module.tooling.values()
        if tooling.step in module.steps
        and tooling.right.at(size) is not None
        and len(_wrong(module, tooling, size))
    ]


def _wrong(module: Module, tooling: Tooling, size: str) -> dict[str, Verdict]:
    """Return the wrong tools with what each does: those declared, and the right ones of other sizes."""
    right = tooling.right.at(size)
    wrong = {
        tool: Verdict(
            f"{tool}: {in_sentence(full_stop(what))} {_right(tooling, right)}", signal=Hazard.NOTICE
        )
        for tool, what in tooling.wrong.items()
    }
    for other in module.sizes:
        tool = tooling.right.at(other)
        if tool is not None and tool != right and tool not in wrong:
            wrong[tool] = Verdict(
                f"{tool}: that is for {other}. {_right(tooling, right)}", signal=Hazard.NOTICE
            )
    return wrong


def _right(tooling: Tooling, right: str | None) -> str:
    return f"Here it is {in_sentence(right or '')}: {in_sentence(full_stop(tooling.because))}"


def _lifted(module: Module, size: str) -> list[Part]:
    return [part for part in module.parts.values() if lift_choice.is_offered(part, size)]


@lru_cache(maxsize=256)
def _problem(setting: Setting) -> tuple[Choice, ...]:
    draw = setting.draw()
    module = setting.module
    lifted = _lifted(module, setting.size)
    slung = [part for part in lifted if part.handled is not None and part.handled.legs]
    tools = _tools(module, setting.size)
    asked: list[tuple[str, Part | Tooling]] = [
        ("lift", part) for part in draw.sample(lifted, min(1, len(lifted)))
    ]
    asked += [("sling", part) for part in draw.sample(slung, min(1, len(slung)))]
    asked += [("tool", tooling) for tooling in draw.sample(tools, min(len(tools), ROWS - len(asked)))]
    rows = draw.shuffled(asked)
    return tuple(
        _choice(setting, what, thing, letter, draw)
        for (what, thing), letter in zip(rows, letters(len(rows)), strict=True)
    )


def _choice(setting: Setting, what: str, thing: Part | Tooling, letter: str, draw: Draw) -> Choice:
    if isinstance(thing, Tooling):
        return _tool_row(setting, thing, letter, draw)
    if what == "lift":
        text, offered, picture = lift_choice.lifting_row(thing, setting.size)
    else:
        text, offered, picture = lift_choice.sling_row(thing, setting.size, draw)
    return choices.choice(letter, text, offered, picture=picture)


def _tool_row(setting: Setting, tooling: Tooling, letter: str, draw: Draw) -> Choice:
    right = tooling.right.at(setting.size) or ""
    wrong = _wrong(setting.module, tooling, setting.size)
    drawn = draw.sample(wrong.items(), min(len(wrong), OPTIONS - 1))
    good = Verdict(f"{right}: {in_sentence(full_stop(tooling.because))}", right=True)
    offered = draw.shuffled([(right, good), *drawn])
    return choices.choice(letter, full_stop(setting.module.steps[tooling.step].do), offered)
