"""What happens when an energy gets free, with the numbers that the module itself gives."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.errors import TrainerError
from trainer.procedure.wording import full_stop
from trainer.trade import pressure

if TYPE_CHECKING:
    from trainer.procedure.model import BySize, Energy, Module
    from trainer.trade.units import Quantity


def force(energy: Energy, size: str) -> Quantity | None:
    """Return the force that an energy exerts at a size, or None when the module does not tell enough.

    A gas pushes with gauge pressure times area, a spring with rate times compression. Values that no physics
    allows, such as a bore of 0 mm, give no force; the checker tells of them.
    """
    gas, area = _both(energy.pressure, energy.acts_on, size)
    rate, compression = _both(energy.rate, energy.compression, size)
    try:
        if gas is not None and area is not None:
            return pressure.gas_force(gas, area)
        if rate is not None and compression is not None:
            return pressure.spring_force(rate, compression)
    except TrainerError:
        return None
    return None


def _both(
    first: BySize[Quantity] | None, second: BySize[Quantity] | None, size: str
) -> tuple[Quantity | None, Quantity | None]:
    return (first.at(size) if first else None), (second.at(size) if second else None)


def told(energy: Energy, module: Module, size: str | None = None) -> str:
    """Return what happens, as one or two sentences; without a size the force is told for the range of sizes."""
    sentence = full_stop(energy.otherwise)
    sizes = [size] if size else [s for s in module.sizes if force(energy, s) is not None]
    forces = [(s, value) for s in sizes if (value := force(energy, s)) is not None]
    if not forces:
        return sentence
    return f"{sentence} {_number(energy, forces)}"


def _number(energy: Energy, forces: list[tuple[str, Quantity]]) -> str:
    first_size, least = min(forces, key=lambda pair: pair[1].si)
    last_size, most = max(forces, key=lambda pair: pair[1].si)
    amount = f"about {_newton(least)}"
    if _newton(least) != _newton(most):
        amount = f"about {_newton(least)} at {first_size} and {_newton(most)} at {last_size}"
    if energy.pressure is not None and energy.acts_on is not None:
        gas = {str(value) for s, _ in forces if (value := energy.pressure.at(s)) is not None}
        at = f"At {next(iter(gas))} the" if len(gas) == 1 else "The"
        return f"{at} gas pushes with {amount}."
    return f"The spring pushes with {amount}."


def _newton(value: Quantity) -> str:
    """Return a force with two figures that count: `7.3 kN`, `850 N`, `130 kN`."""
    newton = float(f"{value.si:.2g}")
    if newton >= 1000:
        return f"{newton / 1000:g}\N{NARROW NO-BREAK SPACE}kN"
    return f"{newton:g}\N{NARROW NO-BREAK SPACE}N"
