"""`trainer reckon`: one trade computation, with units, formula and source."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from trainer.cli.output import format_option, say_json
from trainer.errors import TrainerError
from trainer.trade.reckon import RECKONINGS, reckon, reckoning_named

if TYPE_CHECKING:
    from trainer.trade.reckoning import Input, Reckoned, Reckoning


class PairUnreadable(TrainerError):
    """An argument that is not `key=value`."""

    def __init__(self, argument: str) -> None:
        super().__init__(
            f"'{argument}' is not an input; write key=value, with quotes where the value has spaces."
        )


class KeyTwice(TrainerError):
    """The same input given twice."""

    def __init__(self, key: str) -> None:
        super().__init__(f"'{key}' is given twice.")


class NameMissing(TrainerError):
    """No computation named."""

    def __init__(self) -> None:
        super().__init__("Name a computation; `trainer reckon --list` lists them.")


@click.command("reckon")
@click.argument("name", required=False)
@click.argument("values", nargs=-1, metavar="[KEY=VALUE]...")
@click.option(
    "--list", "list_all", is_flag=True, help="List computations with their inputs; with NAME, that one."
)
@format_option
def reckon_command(name: str | None, values: tuple[str, ...], list_all: bool, output: str) -> None:
    """Do one computation of the trade, with units, formula and source.

    Values carry their unit. Plain bar, kPa and psi are gauge pressures; absolute ones are written bar(a), psi(a),
    differences bar(d), psi(d). Where the unit of the answer is free, unit=… picks it.

    \b
    Examples:
      trainer reckon wrench-setting target="60 N·m" wrench="400 mm" offset="60 mm"
      trainer reckon convert value="60 N·m" to=lbf.ft --format json
      trainer reckon next-due last=2024-10-01
      trainer reckon --list lift-limit
    """
    if list_all:
        chosen = [reckoning_named(name)] if name else list(RECKONINGS.values())
        if output == "json":
            say_json([_description(reckoning) for reckoning in chosen])
        else:
            click.echo("\n\n".join(map(_described, chosen)))
        return
    if name is None:
        raise NameMissing
    reckoned = reckon(name, _pairs(values))
    if output == "json":
        say_json(reckoned.as_data())
    else:
        click.echo(_answer(reckoned))


def _pairs(values: tuple[str, ...]) -> dict[str, str]:
    pairs: dict[str, str] = {}
    for argument in values:
        key, equals, value = argument.partition("=")
        key = key.strip().replace("-", "_")
        if not equals or not key:
            raise PairUnreadable(argument)
        if key in pairs:
            raise KeyTwice(key)
        pairs[key] = value
    return pairs


def _answer(reckoned: Reckoned) -> str:
    width = max((len(key) for key in reckoned.inputs), default=0)
    given = [f"  {key:<{width}}  {text}" for key, text in reckoned.inputs.items()]
    notes = [f"  {note}" for note in reckoned.notes]
    lines = [
        RECKONINGS[reckoned.name].title,
        *given,
        f"= {reckoned.printed}",
        *notes,
        f"Formula: {reckoned.formula}",
        f"Source: {reckoned.source}",
    ]
    return "\n".join(lines)


def _described(reckoning: Reckoning) -> str:
    width = max(len(entry.key) for entry in reckoning.all_inputs)
    inputs = [f"  {entry.key:<{width}}  {entry.help} ({_asked(entry)})" for entry in reckoning.all_inputs]
    return "\n".join([f"{reckoning.name}: {reckoning.title}", *inputs])


def _asked(entry: Input) -> str:
    if entry.default is not None:
        return f"{entry.asks_for}; {entry.default} unless given"
    return f"{entry.asks_for}; optional" if entry.optional else entry.asks_for


def _description(reckoning: Reckoning) -> dict[str, Any]:
    inputs = [
        {
            "key": entry.key,
            "what": entry.asks_for,
            "help": entry.help,
            "required": entry.required,
            "default": entry.default,
        }
        for entry in reckoning.all_inputs
    ]
    return {
        "name": reckoning.name,
        "title": reckoning.title,
        "inputs": inputs,
        "formula": reckoning.formula,
        "source": reckoning.source,
        "example": dict(reckoning.example),
    }
