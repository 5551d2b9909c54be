"""The keys of a covered task in the shared table, and the task that comes of them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from trainer.procedure.blocks import Block, Key, ListOf
from trainer.procedure.values import Count, Flag, OneOf, Text, Whole
from trainer.records.conditions import (
    MOST_DIRECTED,
    MOST_MONTHS,
    Conditions,
    Evaluators,
    Finding,
    Ground,
    Grounds,
    Methods,
    Span,
)
from trainer.records.methods import Method
from trainer.records.qualification import CoveredTask

if TYPE_CHECKING:
    from trainer.procedure.source import Node
    from trainer.procedure.values import Path, Reading

TEST = Block(
    "a test",
    (
        Key("because", Text(), "Why it is met, or not.", "Done at a regulator station", required=True),
        Key("met", Flag(), "Whether it is met; without it, it is.", "true"),
    ),
    short="because",
)
TESTS = Block(
    "the four tests",
    tuple(Key(str(ground), TEST, f"{ground.words} (49 CFR {ground.paragraph}).") for ground in Ground),
)


class MethodsBlock(Block):
    """The methods of evaluation at a task; what nobody could be evaluated by is told at its place."""

    def read(self, node: Node, path: Path, reading: Reading) -> dict[str, Any] | None:
        """Return key → value, or None with a finding when nobody could be evaluated by it."""
        values = super().read(node, path, reading)
        why = None if values is None else _methods(values).why_unsound()
        if why:
            reading.say("wrong-value", node.place, why, "Allow more methods, or ask for fewer.")
            return None
        return values


class EvaluatorsBlock(Block):
    """Who may evaluate at a task; whatever is asked has its reason."""

    def read(self, node: Node, path: Path, reading: Reading) -> dict[str, Any] | None:
        """Return key → value; a reason alone asks nothing and is told."""
        values = super().read(node, path, reading)
        if values is not None and "because" in values and not Evaluators(**values).asks_anything:
            what = "`evaluators` gives a reason, but asks nothing."
            reading.say("wrong-value", node.place, what, "Say what is asked, or take the block out.")
        return values


METHODS = MethodsBlock(
    "the methods of evaluation",
    (
        Key(
            "allowed", ListOf(OneOf(Method)), "Methods that may be used; without it, all.", "[written, oral]"
        ),
        Key("always", ListOf(OneOf(Method)), "Methods that every evaluation uses.", "oral"),
        Key(
            "one_of",
            ListOf(OneOf(Method)),
            "Methods of which every evaluation uses at least one.",
            "[on_the_job, simulation]",
        ),
    ),
)
SPAN = Block(
    "the span of control",
    (
        Key(
            "most",
            Whole(0, MOST_DIRECTED),
            "How many people who are not qualified one qualified person may direct and observe; 0: nobody works unqualified.",
            "1",
            required=True,
        ),
        Key(
            "because",
            Text(),
            "The written reason for it.",
            "Both hands are seen from beside the bench",
            required=True,
        ),
    ),
)
EVALUATORS = EvaluatorsBlock(
    "who may evaluate",
    (
        Key(
            "appointment_enough",
            Flag(),
            "Whether an appointment as evaluator serves without being qualified for the task; without it, it does.",
            "false",
        ),
        Key(
            "months_held",
            Whole(0, MOST_MONTHS),
            "Months that somebody must have been qualified without a break who evaluates by being qualified.",
            "12",
        ),
        Key("other_crew", Flag(), "Whether the evaluator must be of another crew.", "true"),
        Key(
            "not_who_assigned",
            Flag(),
            "Whether whoever put the procedure on the person's sheet must not evaluate.",
            "true",
        ),
        Key(
            "because",
            Text(),
            "The written reason for what is asked.",
            "Nobody marks their own teaching",
            required=True,
        ),
    ),
)


class TaskBlock(Block):
    """A covered task; one that Part 192 requires names the paragraph."""

    def read(self, node: Node, path: Path, reading: Reading) -> dict[str, Any] | None:
        """Return key → value, with a finding where the paragraph is missing."""
        values = super().read(node, path, reading)
        required = (values or {}).get("tests", {}).get(Ground.REQUIRED, {})
        if required.get("because") and required.get("met", True) and "required_by" not in (values or {}):
            what = "A covered task that Part 192 requires lacks the paragraph."
            reading.say(
                "missing-key", node.place, what, "Add `required_by`: the paragraph, such as 192.739(a)."
            )
        return values


TASK = TaskBlock(
    "a covered task",
    (
        Key("title", Text(), "What is done.", "Overhaul a main valve", required=True),
        Key("group", Text(), "The heading it stands under on the crew sheet.", "Main valve"),
        Key("needed", Count(), "How many people the crew needs for it.", "3"),
        Key("tests", TESTS, "The four tests by which it is a covered task, each with its reason."),
        Key("required_by", Text(), "The paragraph of Part 192 that requires it.", "192.739(a)"),
        Key(
            "interval_months",
            Whole(1, MOST_MONTHS),
            "Months from evaluation to evaluation.",
            "36",
            required=True,
        ),
        Key(
            "interval_because",
            Text(),
            "The written reason for that interval.",
            "Done monthly by everybody",
            required=True,
        ),
        Key(
            "abnormal_conditions",
            ListOf(Text()),
            "What the person must recognise and react to.",
            "[gas alarm]",
            required=True,
        ),
        Key(
            "methods",
            METHODS,
            "By which methods an evaluation is made; without it, by any of the law's list.",
        ),
        Key("span", SPAN, "The span of control; without it, nobody works at it unqualified."),
        Key("evaluators", EVALUATORS, "Who may evaluate, beyond the house rules."),
    ),
)


def task_of(name: str, values: dict[str, Any]) -> CoveredTask:
    """Return the covered task that the keys say; what could not be read has the default."""
    return CoveredTask(
        id=name,
        title=values.get("title", name),
        interval_months=values.get("interval_months", 12),
        interval_because=values.get("interval_because", ""),
        abnormal_conditions=values.get("abnormal_conditions", ()),
        group=values.get("group", ""),
        needed=values.get("needed", 1),
        grounds=_grounds(values.get("tests", {}), values.get("required_by", "")),
        conditions=Conditions(
            methods=_methods(values.get("methods", {})),
            span=Span(**values["span"]) if {"most", "because"} <= values.get("span", {}).keys() else Span(),
            evaluators=Evaluators(**values.get("evaluators", {})),
        ),
    )


def _grounds(tests: dict[str, dict[str, Any]], required_by: str) -> Grounds:
    answered = ((ground, tests[ground]) for ground in Ground if tests.get(ground, {}).get("because"))
    return Grounds(
        tuple(Finding(ground, said.get("met", True), said["because"]) for ground, said in answered),
        required_by,
    )


def _methods(values: dict[str, Any]) -> Methods:
    named = {key: tuple(m for m in Method if m in listed) for key, listed in values.items()}
    return Methods(**named)
