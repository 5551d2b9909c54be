"""An evaluation, and a job watched at the bench step by step, shown again as they were signed, as HTML."""

from __future__ import annotations

from datetime import datetime
from html import escape
from typing import TYPE_CHECKING, Any

from trainer.exports.words import moment
from trainer.records.methods import Method
from trainer.records.observation import StepMark

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from trainer.exports.evidence import ObservationShown, Right, Told


def evaluation(told: Told) -> Iterator[str]:
    """Yield an evaluation: when, how, the abnormal conditions, the result, and by whom under what meaning."""
    given = told.payload
    methods = [Method(name) for name in given["methods"]]
    yield f"<h4>Evaluation on {escape(given['evaluated_on'])} by {escape(told.by)}</h4><dl>"
    yield _pair("Methods", "; ".join(f"{method.words} ({method.paragraph})" for method in methods))
    yield _pair("Task", "done right" if given["passed"] else "not passed")
    yield _pair("Abnormal conditions gone through", "; ".join(given["abnormal_conditions"]) or "none")
    yield _pair(
        "Abnormal conditions", "recognised and reacted to" if given["abnormal_passed"] else "not passed"
    )
    yield _pair("Result in words", given["result"])
    if given.get("observation"):
        yield _pair("Rests on", f"observation {given['observation']}")
    yield _pair("Right to evaluate", given["basis"])
    yield _pair("Signed", f"{moment(told.at)}: {given['meaning']}")
    yield f'</dl><p class="links"><a href="log/{told.number}.json">entry {told.number} of the log</a></p>'


def rights(found: tuple[Right, ...]) -> Iterator[str]:
    """Yield by what right each evaluator evaluated on the day, with the record or the entry that shows it."""
    if not found:
        return
    yield "<h4>Who evaluated, and by what right on that day</h4><ul>"
    for right in found:
        links = (
            f' <a href="records/{escape(right.record)}.pdf">{escape(right.record)}</a>'
            if right.record
            else ""
        )
        links += f' <a href="log/{right.entry}.json">entry {right.entry}</a>' if right.entry else ""
        yield f"<li>{escape(right.who)}: {escape(right.basis)}{links}</li>"
    yield "</ul>"


def observation(shown: ObservationShown, photographs: Mapping[str, str]) -> Iterator[str]:
    """Yield an observation: each step in the order in which it was done, how, when, with notes and photographs.

    Args:
        shown: the observation.
        photographs: paths of its photographs by their hash.
    """
    record = shown.record
    size = f", {record['size']}" if record["size"] else ""
    yield f"<h4>Observation {shown.number} at the bench, by {escape(record['evaluator_name'])}{escape(size)}</h4>"
    yield f"<details><summary>The {len(record['steps'])} steps in the order in which they were done</summary>"
    yield '<div class="wide"><table><tr><th>Done as</th><th>Step</th><th>How</th><th>Marked</th></tr>'
    done = 0
    for step in record["steps"]:
        done += bool(step["mark"])
        yield _step(shown, step, done, photographs)
    yield "</table></div></details><dl>"
    order = (
        "This order works." if record["order_works"] else f"This order does not work. {record['first_wrong']}"
    )
    yield _pair("Order as carried out", order)
    yield _pair("Result in words", record["result"])
    if record["transcribed_by"]:
        yield _pair("Paper card", f"filled in on {record['filled_on']}, entered by {record['transcriber']}")
    yield _pair("Right to evaluate", record["basis"])
    signed = moment(datetime.fromisoformat(record["at"]))
    yield _pair("Signed", f"{signed}: {record['meaning']}")
    yield (
        f'</dl><p class="links"><a href="observations/{shown.number}.json">as data</a> '
        f'<a href="log/{shown.entry}.json">entry {shown.entry} of the log</a></p>'
    )


def _step(shown: ObservationShown, step: Mapping[str, Any], done: int, photographs: Mapping[str, str]) -> str:
    name = step["step"]
    critical = " <small>critical</small>" if name in shown.record["critical"] else ""
    note = f"<br>{escape(step['note'])}" if step["note"] else ""
    how = StepMark(step["mark"]).words if step["mark"] else "no mark"
    taken = [one for one in shown.record["photographs"] if one["step"] == name]
    images = "".join(_photograph(one, shown.steps.get(name, name), photographs) for one in taken)
    at = moment(datetime.fromisoformat(step["at"]))
    return (
        f'<tr><td data-label="Done as">{done if step["mark"] else ""}</td>'
        f'<td data-label="Step">{escape(shown.steps.get(name, name))}{critical}{note}{images}</td>'
        f'<td class="short" data-label="How">{escape(how)}</td><td class="short" data-label="Marked">{at}</td></tr>'
    )


def _photograph(one: Mapping[str, str], words: str, photographs: Mapping[str, str]) -> str:
    path = photographs.get(one["sha256"])
    if path is None:
        return f"<br><small>A photograph is on record, but not stored: {escape(one['sha256'])}</small>"
    taken = moment(datetime.fromisoformat(one["at"]))
    return (
        f'<br><a href="{escape(path)}"><img class="photograph" src="{escape(path)}" loading="lazy" '
        f'alt="Photograph of: {escape(words)}"></a> <small>taken {taken}</small>'
    )


def _pair(name: str, text: str) -> str:
    return f"<dt>{escape(name)}</dt><dd>{escape(text)}</dd>"
