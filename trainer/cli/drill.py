"""`trainer ask` and `trainer answer`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from trainer import drills
from trainer.checker.sound import sound_module
from trainer.cli.output import format_option, read_answer, say_json
from trainer.drills.answer_forms import Arrange, Choose, NextStep, Point, Say
from trainer.errors import TrainerError
from trainer.procedure import library
from trainer.procedure.window import prepare

if TYPE_CHECKING:
    from trainer.drills.answer_forms import Form, Row
    from trainer.drills.kind import Kind
    from trainer.drills.mark import Mark
    from trainer.drills.question import Question
    from trainer.procedure.model import Module


class NothingAskedFor(TrainerError):
    """A module or a kind is missing from the call."""

    def __init__(self) -> None:
        super().__init__("Name a module, a kind and a seed, or use --list; see `trainer ask --help`.")


class RunOver(TrainerError):
    """There is no further moment after these picks."""

    def __init__(self) -> None:
        super().__init__("The run is over after these picks: hand them in with `trainer answer`.")


@click.command("ask")
@click.argument("module", required=False)
@click.option("--kind", help="Kind of drill; see --list.")
@click.option(
    "--seed", type=click.IntRange(min=0), help="Whole number; the same seed gives the same question."
)
@click.option("--size", help="Size on the bench; without it the seed chooses one.")
@click.option("--list", "listing", is_flag=True, help="List the kinds and what each module can give.")
@click.option("--after", multiple=True, help="What was picked so far in a run, once for each moment.")
@format_option
def ask_command(
    module: str | None,
    kind: str | None,
    seed: int | None,
    size: str | None,
    listing: bool,
    after: tuple[str, ...],
    output: str,
) -> None:
    """Print one question exactly as a trainee gets it, without its key.

    \b
    Example:
      trainer ask piston-valve-overhaul --kind order --seed 7 --size "DN 80"
    """
    if listing:
        _list([module] if module else list(library.shipped_procedures()), output)
        return
    if module is None or kind is None or seed is None:
        raise NothingAskedFor
    question = _question(sound_module(module), kind, size, seed, after)
    if output == "json":
        say_json(question.as_data())
    else:
        _say_question(question)


def _question(module: Module, kind: str, size: str | None, seed: int, after: tuple[str, ...]) -> Question:
    if not after:
        return drills.ask(module, kind, size, seed)
    question = drills.go_on(module, kind, size, seed, after)
    if question is None:
        raise RunOver
    return question


def _list(names: list[str], output: str) -> None:
    modules = [sound_module(name) for name in names]
    if output == "json":
        say_json([_offer(module, kind) for module in modules for kind in drills.KINDS.values()])
        return
    for module in modules:
        for kind in drills.KINDS.values():
            procedure = prepare(module)
            click.echo(f"{module.id}  {kind.KIND}: {kind.TITLE}")
            for skill in kind.skills(procedure):
                click.echo(f"    {skill.id}  {skill.title}{'  (critical)' if skill.critical else ''}")
            if kind.missing(procedure):
                click.echo(f"    nothing to ask. {kind.missing(procedure)}")


def _offer(module: Module, kind: Kind) -> dict[str, Any]:
    procedure = prepare(module)
    return {
        "module": module.id,
        "kind": kind.KIND,
        "title": kind.TITLE,
        "skills": [{"id": s.id, "title": s.title, "critical": s.critical} for s in kind.skills(procedure)],
        "missing": kind.missing(procedure),
    }


def _say_question(question: Question) -> None:
    click.echo(question.title)
    for caution in question.cautions:
        click.echo(f"{caution.signal.upper()}: {caution.text}")
    click.echo(f"{question.ask}\n{question.given}".rstrip())
    _say_form(question.form)


def _say_form(form: Form) -> None:
    if isinstance(form, Arrange):
        for line in form.lines:
            click.echo(f"  {line.id}  {line.text}{f'  ({line.detail})' if line.detail else ''}")
        click.echo("Answer: a JSON list of the letters, first line first.")
    elif isinstance(form, Choose):
        _say_choices(form)
    elif isinstance(form, Say):
        for said in form.fields:
            click.echo(f"  {said.id}  {said.text}{f'  ({said.detail})' if said.detail else ''}")
        click.echo('Answer: a JSON object, {"field": "a few words", …}.')
    elif isinstance(form, NextStep):
        for number, (text, shows) in enumerate(form.done, start=1):
            click.echo(f"  picked {number}: {text}. {shows}".rstrip())
        for option in form.options:
            click.echo(f"  {option.id}  {option.text}")
        click.echo(
            f"Pick one; the next moment: --after, once a pick. Answer: a JSON list, {form.moments} at most."
        )
    else:
        for field in form.fields:
            click.echo(f"  {field.id}  {field.text}, in {' or '.join(field.units)}")
        click.echo('Answer: a JSON object, {"field": {"value": "…", "unit": "…"}, …}.')


def _say_choices(form: Choose) -> None:
    if isinstance(form, Point):
        for place in form.places:
            click.echo(f"  place {place.id}: {place.text}")
        for row in form.rows:
            click.echo(f"  {row.id}  {row.text}")
        click.echo('Answer: a JSON object, {"row": "place", …}.')
        return
    for row in form.rows:
        _say_row(row)
    click.echo('Answer: a JSON object, {"row": "option", …}.')


def _say_row(row: Row) -> None:
    click.echo(f"  {row.id}  {row.text}{f'  ({row.detail})' if row.detail else ''}")
    if row.seen:
        click.echo(f"     {row.seen}")
    for option in row.options:
        click.echo(f"       {option.id}  {option.text}")


@click.command("answer")
@click.argument("module")
@click.option("--kind", required=True, help="Kind of drill; see `trainer ask --list`.")
@click.option("--seed", type=click.IntRange(min=0), required=True, help="The question's seed.")
@click.option("--size", help="The question's size.")
@click.option("--answer", required=True, help="File with the answer as JSON, or - for standard input.")
@format_option
@click.pass_context
def answer_command(
    ctx: click.Context, module: str, kind: str, seed: int, size: str | None, answer: str, output: str
) -> None:
    """Mark an answer to a question, with the explanation. Exits with 1 when it is not right.

    \b
    Example:
      trainer answer piston-valve-overhaul --kind order --seed 7 --answer my-order.json
    """
    mark = drills.mark(sound_module(module), kind, size, seed, read_answer(answer))
    if output == "json":
        say_json(mark.as_data())
    else:
        _say_mark(mark)
    ctx.exit(0 if mark.right else 1)


def _say_mark(mark: Mark) -> None:
    click.echo(mark.headline)
    if mark.incident:
        click.echo(f"{mark.incident.signal.upper()}: {mark.incident.text}")
    if mark.instead:
        click.echo(mark.instead)
    for remark in mark.remarks:
        verdict = "right" if remark.right else "look again" if remark.marked else "not marked"
        click.echo(f"  {verdict}, {remark.about}: {remark.text}")
    data: dict[str, Any] = {"credit": f"{mark.credit:.3f}", "critical": "yes" if mark.critical else "no"}
    click.echo("  ".join(f"{name} {value}" for name, value in data.items()))
