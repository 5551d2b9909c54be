"""The manual page of each rule, made from its docstring; the examples there are also the rule's test."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.checker.rules import RULES

if TYPE_CHECKING:
    from trainer.checker.checked import Rule

# What every procedure starts with, and what an example that does not speak of parts or steps may leave out.
_HEAD = {
    "module": "module: example",
    "title": "title: An example",
    "document": "document: EX-1",
    "covered_task": "covered_task: T-31",
    "sizes": "sizes: [DN 50, DN 80]",
    "summary": "summary: Invented, to show the rule.",
}
_REST = {
    "parts": "parts:\n  body: {fixed: true}",
    "steps": "steps:\n  - {id: look, do: Look at the valve}",
}


@dataclass(frozen=True)
class Page:
    """What the manual says of a rule; the examples leave out what every procedure starts with."""

    code: str
    signal: str
    title: str
    text: str
    wrong: str
    right: str


def page(rule: Rule) -> Page:
    """Return the manual page of a rule.

    Raises:
        ValueError: its docstring lacks a part.
    """
    doc = rule.__doc__ or ""
    head, found_wrong, rest = doc.partition("\nWrong:\n")
    wrong, found_right, right = rest.partition("\nRight:\n")
    if not (found_wrong and found_right and head.strip()):
        raise ValueError(f"{rule.CODE}: the docstring needs a sentence, `Wrong:` and `Right:`")
    title, _, text = head.strip().partition("\n")
    return Page(
        rule.CODE,
        str(rule.SIGNAL),
        title,
        text.strip(),
        textwrap.dedent(wrong).strip("\n"),
        textwrap.dedent(right).strip("\n"),
    )


def complete(example: str) -> str:
    """Return an example as a whole procedure file: what it leaves out is put before and after it."""
    present = {line.partition(":")[0] for line in example.splitlines() if line[:1].isalpha()}
    head = [line for key, line in _HEAD.items() if key not in present]
    rest = [line for key, line in _REST.items() if key not in present]
    return "\n".join([*head, example, *rest]) + "\n"


def manual() -> str:
    """Return the manual of all findings as Markdown."""
    lines = [
        "# What the checker finds",
        "",
        "Each finding has a code, a signal (error, warning, advice), a place, one sentence on what is wrong and one on how",
        "to mend it. An error keeps a procedure from being published. What follows from one mistake is told once, where the",
        "mistake is. The examples leave out the head of the file, and name a shared caution, `gas_under_pressure`. This page",
        "is made from the rules in `trainer/checker/rules/`.",
        "",
    ]
    for entry in sorted((page(rule) for rule in RULES), key=lambda item: item.code):
        lines += [f"## {entry.code}", "", f"*{entry.signal}*: {entry.title}", ""]
        lines += [entry.text, ""] if entry.text else []
        for word, example in (("Wrong", entry.wrong), ("Right", entry.right)):
            lines += [f"{word}:", "", "```yaml", example, "```", ""]
    return "\n".join(lines).rstrip() + "\n"
