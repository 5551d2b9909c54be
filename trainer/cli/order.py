"""`trainer order` and `trainer mark`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeVar

import click

from trainer.cli.output import format_option, read_answer, say_json
from trainer.errors import TrainerError
from trainer.procedure import library, window
from trainer.procedure.counting import LegalOrders, TooManyOrders
from trainer.procedure.order_mark import NotAnOrder, OrderMark, mark_order

if TYPE_CHECKING:
    from collections.abc import Callable

    from trainer.procedure.model import Module
    from trainer.procedure.window import Window

F = TypeVar("F", bound="Callable[..., object]")


class PhaseAndSteps(TrainerError):
    """Both a phase and steps are asked for."""

    def __init__(self) -> None:
        super().__init__("Give either --phase or --steps, not both.")


def _window_options(function: F) -> F:
    function = click.option("--steps", help="Only these steps, with commas between.")(function)
    return click.option("--phase", help="Only the steps of this phase.")(function)


def _window(module: Module, phase: str | None, steps: str | None) -> Window:
    if phase and steps:
        raise PhaseAndSteps
    procedure = window.prepare(module)
    if phase:
        return window.phase(procedure, phase)
    if steps is not None:
        return window.chosen(procedure, [step.strip() for step in steps.split(",") if step.strip()])
    return window.whole(procedure)


@click.command("order")
@click.argument("module")
@_window_options
@format_option
def order_command(module: str, phase: str | None, steps: str | None, output: str) -> None:
    """Tell the legal orders of a procedure or of a stretch of it: how many, and every relation with its reason.

    \b
    Example:
      trainer order piston-valve-overhaul --phase teardown
    """
    read = library.load(module)
    chosen = _window(read, phase, steps)
    count, note = _count(chosen)
    if output == "json":
        say_json(_order_data(read, chosen, count, note))
        return
    click.echo(f"{read.title}: {len(chosen.steps)} steps, width {chosen.order.width()}")
    click.echo(f"Legal orders: {int(count):,}" if count else f"Legal orders: {note}")
    for (before, after), reasons in chosen.relations.items():
        for reason in reasons:
            signal = f"{reason.signal.upper()}: " if reason.signal and reason.signal.is_critical else ""
            click.echo(f"  {before} before {after}: {signal}{reason.text}")


def _count(chosen: Window) -> tuple[str | None, str]:
    try:
        return str(LegalOrders(chosen.order).count), ""
    except TooManyOrders as refusal:
        return None, str(refusal)


def _order_data(module: Module, chosen: Window, count: str | None, note: str) -> dict[str, Any]:
    data: dict[str, Any] = {
        "module": module.id,
        "revision": module.revision,
        "steps": list(chosen.steps),
        "relations": [
            {
                "before": before,
                "after": after,
                "reasons": [{"text": r.text, "signal": str(r.signal) if r.signal else None} for r in reasons],
            }
            for (before, after), reasons in chosen.relations.items()
        ],
        "legal_orders": count,
        "width": chosen.order.width(),
    }
    return data if count else {**data, "legal_orders_note": note}


@click.command("mark")
@click.argument("module")
@_window_options
@click.option("--answer", required=True, help="File with a JSON list of step ids, or - for standard input.")
@format_option
@click.pass_context
def mark_command(
    ctx: click.Context, module: str, phase: str | None, steps: str | None, answer: str, output: str
) -> None:
    """Mark an order of steps: legal or not, the fewest moves, what is broken and what would have happened.

    \b
    Example:
      echo '["shut", "vent"]' | trainer mark piston-valve-overhaul --steps shut,vent --answer -
    """
    chosen = _window(library.load(module), phase, steps)
    result = mark_order(chosen, _step_ids(read_answer(answer)))
    if output == "json":
        say_json(_mark_data(result))
    else:
        _say_mark(result)
    ctx.exit(0 if result.legal else 1)


def _step_ids(answer: object) -> list[str]:
    if not isinstance(answer, list) or not all(isinstance(step, str) for step in answer):
        raise NotAnOrder("The answer must be a JSON list of step ids.")
    return answer


def _mark_data(result: OrderMark) -> dict[str, Any]:
    incident = result.incident
    return {
        "legal": result.legal,
        "moves": result.moves,
        "credit": result.credit,
        "critical": result.critical,
        "broken": [
            {
                "before": b.before,
                "after": b.after,
                "text": b.text,
                "signal": str(b.signal) if b.signal else None,
            }
            for b in result.broken
        ],
        "incident": None
        if incident is None
        else {
            "step": incident.step,
            "position": incident.position,
            "signal": str(incident.signal),
            "text": incident.text,
        },
        "move": list(result.move),
    }


def _say_mark(result: OrderMark) -> None:
    if result.legal:
        click.echo("This order works.")
        return
    first = result.incident
    if first:
        click.echo(f"{first.signal.upper()} at line {first.position} ({first.step}): {first.text}")
    click.echo(
        f"Fewest steps to move: {result.moves} ({', '.join(result.move)}). Credit {result.credit:.3f}."
    )
    for item in result.broken:
        click.echo(f"  {item.before} before {item.after}: {item.text}")
    click.echo(f"An order that works: {', '.join(result.nearest)}")
