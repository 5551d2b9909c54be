"""`trainer draw`."""

from __future__ import annotations

import inspect
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from trainer.cli import preview
from trainer.drawing import VIEWS
from trainer.errors import TrainerError
from trainer.exports.drawing_file import standing_alone
from trainer.procedure import library
from trainer.procedure.damage import SeenAs
from trainer.trade.slings import Reference

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from trainer.drawing.view import View
    from trainer.procedure.model import Module

# Options that are said otherwise than a view takes them.
_SAID = {"parts": "part", "standing_open": "open"}


class NoSuchView(TrainerError):
    """A view is asked for that there is not."""

    def __init__(self, name: str) -> None:
        super().__init__(f"There is no view '{name}'; the views: {', '.join(VIEWS)}.")


class OptionNotTaken(TrainerError):
    """A view is given an option that it does not take."""

    def __init__(self, option: str, view: str) -> None:
        super().__init__(f"The view '{view}' takes no --{option}.")


class OptionMissing(TrainerError):
    """A view is not given an option that it needs."""

    def __init__(self, option: str, view: str) -> None:
        super().__init__(f"The view '{view}' needs --{option}.")


class NothingThrown(TrainerError):
    """A step is asked for that lets nothing loose."""

    def __init__(self, step: str) -> None:
        super().__init__(
            f"After these steps '{step}' lets nothing loose that is drawn; there is no picture of it."
        )


class NoFileToWrite(TrainerError):
    """Neither a file nor a list is asked for."""

    def __init__(self) -> None:
        super().__init__("Name a module and a file with --out, or use --list; see `trainer draw --help`.")


@click.command("draw")
@click.argument("module", required=False)
@click.option("--view", "name", default="section", help="Which view; see --list.")
@click.option("--size", help="Size; the first one of the module unless given.")
@click.option("--width", type=click.IntRange(40, 4000), default=1200, help="Width in CSS px.")
@click.option("--after", help="Step just done, for the state after it, a station and an incident.")
@click.option("--step", help="Step in hand, for a state, a thumbnail or an incident.")
@click.option("--part", "parts", multiple=True, help="Part that it is about; more than once for several.")
@click.option("--wrong", multiple=True, help="Part that lies the wrong way round.")
@click.option(
    "--open", "standing_open", multiple=True, help="Station: an element that stands open, all others shut."
)
@click.option("--half", is_flag=True, help="Section: the left half from outside.")
@click.option("--pattern", is_flag=True, help="Bolts: with the order of the procedure.")
@click.option("--past", type=float, help="Castle nut: degrees past the last slot that met the hole.")
@click.option("--pinned", is_flag=True, help="Castle nut: with its pin.")
@click.option(
    "--angle", type=float, help="Lifting: angle of the sling legs; defect: where the loupe is held."
)
@click.option(
    "--reference", type=click.Choice([r.value for r in Reference]), help="Lifting: from what it is read."
)
@click.option("--load", is_flag=True, help="Lifting: with what each leg carries.")
@click.option("--form", type=click.Choice([f.value for f in SeenAs]), help="Defect: a form of part.")
@click.option("--damage", help="Defect: what is wrong with it; nothing unless given.")
@click.option("--seed", help="Defect: everything else about the picture comes from it.")
@click.option("--named", is_flag=True, help="Defect: title and description name the damage.")
@click.option(
    "--out",
    type=click.Path(dir_okay=False, path_type=Path),
    help="SVG file to write; with --watch also an HTML page that shows the findings too.",
)
@click.option("--bare", is_flag=True, help="Without colours, as a page with the style sheet wants it.")
@click.option(
    "--watch", is_flag=True, help="Draw and check again whenever the module is saved; stop with Ctrl-C."
)
@click.option("--list", "listing", is_flag=True, help="List the views.")
def draw_command(
    module: str | None,
    name: str,
    size: str | None,
    width: int,
    out: Path | None,
    bare: bool,
    watch: bool,
    listing: bool,
    **chosen: Any,
) -> None:
    """Draw one picture of a procedure to an SVG file.

    \b
    Example:
      trainer draw piston-valve-overhaul --view state --after cover_off --size "DN 80" --out state.svg
      trainer draw my-procedure.yaml --watch --out preview.html
    """
    if listing:
        for key, view in VIEWS.items():
            click.echo(f"{key}: {view.TITLE}")
        return
    if module is None or out is None:
        raise NoFileToWrite
    if name not in VIEWS:
        raise NoSuchView(name)
    path = library.find(module)

    def drawn(read: Module) -> str:
        svg = VIEWS[name].draw(read, size, width, **options(VIEWS[name], name, read, chosen))
        if not svg:
            raise NothingThrown(str(chosen.get("step")))
        return svg if bare else standing_alone(svg)

    if watch:
        _watch(path, out, drawn)
        return
    preview.write(out, drawn(library.load(str(path))))
    click.echo(f"Wrote {out}.")


def _watch(path: Path, out: Path, drawn: Callable[[Module], str]) -> None:
    """Draw after each save; what cannot be drawn leaves the last drawing as it is."""
    last = ""
    for _ in preview.saves(path):
        svg, told = preview.look(path, drawn)
        for line in told:
            click.echo(line, err=True)
        last = svg or last
        if out.suffix == ".html":
            preview.write(out, preview.page(last, told, path.name))
        elif svg:
            preview.write(out, svg)
        if svg:
            click.echo(f"Wrote {out}.{'' if told else ' Nothing to mend.'}")
        else:
            click.echo(f"Not drawn; {out} still shows the last drawing.")


def options(view: View, name: str, module: Module, chosen: Mapping[str, Any]) -> dict[str, Any]:
    """Return the options of a call as a view takes them.

    Raises:
        OptionNotTaken: it does not take one that is given.
        OptionMissing: it needs one that is not given.
    """
    taken = inspect.signature(view.draw).parameters
    given: dict[str, Any] = {}
    for key, value in chosen.items():
        if not value:
            continue
        if key == "parts" and "part" in taken:
            given["part"] = value[0]
            given |= {"together": value[1:]} if "together" in taken else {}
        elif key in taken:
            given[key] = value
        elif key == "after" and "done" in taken:
            order = list(module.steps)
            given["done"] = order[: order.index(value) + 1] if value in module.steps else [value]
        else:
            raise OptionNotTaken(_SAID.get(key, key), name)
    for key, parameter in taken.items():
        if parameter.default is parameter.empty and key in {*chosen, "part"} and key not in given:
            raise OptionMissing(_SAID.get(key, key), name)
    return given
