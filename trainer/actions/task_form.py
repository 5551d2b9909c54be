"""A covered task as it is typed on its page: fields of text, and the task that comes of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.errors import TrainerError
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
    from collections.abc import Mapping

LONGEST_TEXT = 2000
_LONGEST = {"title": 200, "group": 120, "required_by": 200}
_MOST_NEEDED = 999
_FLAGS = ("appointment_enough", "other_crew", "not_who_assigned")
# How a method may be used, as the form names it.
NOT, MAY, ONE_OF, ALWAYS = "not", "may", "one_of", "always"


class TaskUnfit(TrainerError):
    """The task cannot be put in force as it was typed; `fields` says what is wrong with each field that is wrong."""

    def __init__(self, fields: Mapping[str, str]) -> None:
        self.fields = dict(fields)
        super().__init__("Not changed: " + ("; ".join(self.fields.values()) or "nothing is different") + ".")


def as_typed(task: CoveredTask) -> dict[str, str]:
    """Return the fields that give this task."""
    span, evaluators = task.conditions.span, task.conditions.evaluators
    fields = {
        "title": task.title,
        "group": task.group,
        "needed": str(task.needed),
        "interval_months": str(task.interval_months),
        "interval_because": task.interval_because,
        "abnormal_conditions": "\n".join(task.abnormal_conditions),
        "required_by": task.grounds.required_by,
        "span": str(span.most),
        "span_because": span.because,
        "months_held": str(evaluators.months_held),
        "evaluators_because": evaluators.because,
    }
    fields |= {flag: "yes" if getattr(evaluators, flag) else "" for flag in _FLAGS}
    fields |= {f"method.{method}": _use_of(task.conditions.methods, method) for method in Method}
    for ground in Ground:
        found = task.grounds.of(ground)
        fields[f"met.{ground}"] = "" if found is None else "yes" if found.met else "no"
        fields[f"because.{ground}"] = found.because if found else ""
    return fields


def _use_of(methods: Methods, method: Method) -> str:
    if method in methods.always:
        return ALWAYS
    if method in methods.one_of:
        return ONE_OF
    return MAY if method in methods.allowed else NOT


def read(task_id: str, typed: Mapping[str, str]) -> CoveredTask:
    """Return the task that was typed.

    Raises:
        TaskUnfit: a field is missing, too long or out of bounds, or the conditions contradict each other.
    """
    fields = _Fields(typed)
    conditions = tuple(dict.fromkeys(fields.lines("abnormal_conditions", "the abnormal conditions")))
    task = CoveredTask(
        id=task_id,
        title=fields.text("title", "the title"),
        interval_months=fields.whole("interval_months", "the interval", 1, MOST_MONTHS),
        interval_because=fields.text("interval_because", "the reason for the interval"),
        abnormal_conditions=conditions,
        group=fields.text("group", "the group", empty=True),
        needed=fields.whole("needed", "how many the crew needs", 0, _MOST_NEEDED),
        grounds=_grounds(fields),
        conditions=Conditions(
            methods=_methods(fields),
            span=Span(
                fields.whole("span", "the span of control", 0, MOST_DIRECTED),
                fields.text("span_because", "the reason for the span of control"),
            ),
            evaluators=_evaluators(fields),
        ),
    )
    if fields.wrong:
        raise TaskUnfit(fields.wrong)
    return task


class _Fields:
    """Fields as typed; what is wrong with each is gathered, so that all of it is told at once."""

    def __init__(self, typed: Mapping[str, str]) -> None:
        self.typed = typed
        self.wrong: dict[str, str] = {}

    def text(self, name: str, what: str, *, empty: bool = False) -> str:
        said = " ".join(self.typed.get(name, "").split())
        most = _LONGEST.get(name, LONGEST_TEXT)
        if len(said) > most:
            self.wrong[name] = f"{what} holds {most:,} characters at most"
        if not said and not empty:
            self.wrong[name] = f"{what} is missing"
        return said

    def lines(self, name: str, what: str) -> list[str]:
        found = [" ".join(line.split()) for line in self.typed.get(name, "").splitlines()]
        found = [line for line in found if line]
        if not found:
            self.wrong[name] = f"{what} are missing"
        if any(len(line) > LONGEST_TEXT for line in found):
            self.wrong[name] = f"each of {what} holds {LONGEST_TEXT:,} characters at most"
        return found

    def whole(self, name: str, what: str, least: int, most: int) -> int:
        said = self.typed.get(name, "").strip()
        number = int(said) if said.isascii() and said.isdecimal() and len(said) < 6 else -1
        if not least <= number <= most:
            self.wrong[name] = f"{what} must be a whole number between {least} and {most}"
        return number


def _grounds(fields: _Fields) -> Grounds:
    found = []
    for ground in Ground:
        met, name = fields.typed.get(f"met.{ground}", ""), f"because.{ground}"
        because = fields.text(name, "the reason", empty=True)
        if met in ("yes", "no") and not because:
            fields.wrong[name] = f"say why {ground.paragraph} is {'met' if met == 'yes' else 'not met'}"
        elif because and met not in ("yes", "no"):
            fields.wrong[name] = f"say whether {ground.paragraph} is met"
        elif because:
            found.append(Finding(ground, met == "yes", because))
    required_by = fields.text("required_by", "the paragraph", empty=True)
    if not required_by and any(one.met for one in found if one.ground is Ground.REQUIRED):
        fields.wrong["required_by"] = "name the paragraph of Part 192 that requires the task"
    return Grounds(tuple(found), required_by)


def _methods(fields: _Fields) -> Methods:
    use = {method: fields.typed.get(f"method.{method}", NOT) for method in Method}
    methods = Methods(
        allowed=tuple(method for method in Method if use[method] in (MAY, ONE_OF, ALWAYS)),
        always=tuple(method for method in Method if use[method] == ALWAYS),
        one_of=tuple(method for method in Method if use[method] == ONE_OF),
    )
    why = methods.why_unsound()
    if why:
        fields.wrong["methods"] = f"{why[:1].lower()}{why[1:].rstrip('.')}"
    return methods


def _evaluators(fields: _Fields) -> Evaluators:
    flags = {flag: fields.typed.get(flag, "") == "yes" for flag in _FLAGS}
    months = fields.whole("months_held", "the months of holding it", 0, MOST_MONTHS)
    because = fields.text("evaluators_because", "the reason for what is asked of evaluators", empty=True)
    asked = Evaluators(months_held=months, because=because, **flags)
    if asked.asks_anything and not because:
        fields.wrong["evaluators_because"] = "say why this is asked of evaluators"
    # A reason for nothing would stand there as if something were asked.
    return asked if asked.asks_anything else Evaluators()
