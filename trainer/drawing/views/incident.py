"""The moment when a wrong step goes wrong: the joint open, what moves, and the gas in the space that still holds it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.drawing.curves import rounded
from trainer.drawing.marks import arrow, zigzag
from trainer.drawing.painter import paint
from trainer.drawing.regions import column_spans, crossings
from trainer.drawing.scene import Placed, box_of, scene
from trainer.drawing.sheet import DETAIL, PHONE, Sheet
from trainer.drawing.standing import in_machine, states_after
from trainer.drawing.svg import Picture, pair, path
from trainer.procedure.model import Verb
from trainer.procedure.shapes import Toward
from trainer.procedure.states import Aspect
from trainer.procedure.window import UnknownStep, prepare
from trainer.procedure.wording import in_sentence

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from trainer.drawing.curves import Point
    from trainer.drawing.piece import Piece
    from trainer.drawing.regions import Box, Loop
    from trainer.drawing.scene import Scene
    from trainer.procedure.model import Energy, Module
    from trainer.procedure.states import Variable

TITLE = "The moment when a wrong step goes wrong"
# How far a joint opens, as a share of the machine's height; a screw from the side flies farther.
_OPENS, _FLIES = 0.032, 0.11
# Distance of the dots that stand for gas, in px.
_DOTS = 7.0
_LARGEST = 480.0


@dataclass(frozen=True)
class Incident:
    """What happens: the energy that gets free, what it throws, the holder first, and what stays."""

    energy: Energy
    thrown: tuple[str, ...]
    standing: tuple[str, ...]


def draw(
    module: Module,
    size: str | None,
    width: float,
    *,
    step: str,
    done: Sequence[str] = (),
    energy: str | None = None,
    prefix: str = "moment",
) -> str:
    """Return the moment; an empty text when nothing that is drawn would be thrown.

    Args:
        module: the procedure.
        size: the size; the first one unless given.
        width: width in CSS px; it grows no larger than 480.
        step: the step that goes wrong.
        done: the steps done before it, in their order.
        energy: the energy that gets free; the worst of those still there unless given.
        prefix: in front of every id.

    Raises:
        UnknownStep: a step is not in the module.
    """
    machine = scene(module, size)
    happens = incident(machine, step, done, energy)
    if happens is None:
        return ""
    shift = _shift(machine, happens, machine.box[3] - machine.box[1])
    standing = [Placed(machine.pieces[name]) for name in happens.standing if name in machine.pieces]
    going, staying = _sets_parted(machine, happens)
    standing += [Placed(piece) for piece in staying]
    thrown = [Placed(piece, *shift, _mark(happens, piece.id)) for piece in going]
    window = shown(machine, happens)
    weight = PHONE if width < 300 else DETAIL
    # Larger it shows no more, and its hatch alone is a page long.
    width = min(width, _LARGEST)
    sheet = Sheet(*window, width / (window[2] - window[0]))
    gas = _gas(machine, happens, [*standing, *thrown], shift, sheet)
    content = [
        paint(machine, [*standing, *thrown], sheet, weight),
        gas,
        *_arrows(thrown, shift, sheet),
        path(_jets(happens, thrown, shift, sheet), "jet"),
        *_breaks(machine.box, sheet),
    ]
    told = f"{module.steps[step].do}. {in_sentence(happens.energy.otherwise).capitalize()}."
    return Picture(
        prefix,
        width,
        sheet.height,
        f"What happens: {happens.energy.name}",
        told,
        "".join(content),
        weight.name,
    ).text()


def incident(machine: Scene, step: str, done: Sequence[str], energy: str | None = None) -> Incident | None:
    """Return what a step lets loose after others, None when nothing drawn is thrown.

    Raises:
        UnknownStep: a step is not in the module.
    """
    module = machine.module
    for name in (step, *done):
        if name not in module.steps:
            raise UnknownStep(name, module)
    states = states_after(prepare(module), done)
    there = [name for name in in_machine(module, states) if name in machine.pieces]
    freed = free_energies(module, states, step)
    chosen = next((found for found in freed if energy in (None, found[0].id)), None)
    if chosen is None:
        return None
    found, holder = chosen
    if holder not in there:
        return None
    undone = {name for name in module.steps[step].on(Verb.UNDO) if name != holder}
    carried = set(_carried(machine, holder, there))
    if holder in module.lines:
        carried, undone = carried | undone, set()  # a tube takes its nut along
    thrown = (holder, *(name for name in there if name in carried - undone - {holder}))
    return Incident(found, thrown, tuple(name for name in there if name not in {*thrown, *undone}))


def free_energies(module: Module, states: Mapping[Variable, bool], step: str) -> list[tuple[Energy, str]]:
    """Return the energies that a step lets loose, the worst first, each with what holds it until then."""
    found: dict[str, tuple[Energy, str]] = {}
    acting = module.steps[step]
    holders: list[tuple[str, tuple[str, ...]]] = []
    for name in (*acting.on(Verb.UNDO), *acting.on(Verb.REMOVE), *acting.on(Verb.DISCONNECT)):
        if name in module.fasteners:
            fastener = module.fasteners[name]
            clamped = [part for part in fastener.clamps if part in module.parts]
            holders += [(part, module.parts[part].contains) for part in clamped]
            # One big nut or a plug flies itself; of a set it is what they clamp.
            several = any(count > 1 for count in fastener.count.values()) and fastener.clamps
            holders.append((fastener.clamps[0] if several else name, fastener.contains))
        elif name in module.parts:
            holders.append((name, module.parts[name].contains))
        elif name in module.lines:
            holders.append((name, module.lines[name].contains))
    for holder, contained in holders:
        for energy_id in contained:
            energy = module.energies.get(energy_id)
            if energy is not None and not all(
                states.get((Aspect.FACT, fact), True) for fact in energy.safe_when
            ):
                found.setdefault(energy_id, (energy, holder))
    return sorted(found.values(), key=lambda pair: pair[0].signal.rank)


def _carried(machine: Scene, holder: str, there: Sequence[str]) -> tuple[str, ...]:
    """Return a thing with what sits on it or is screwed into it, and so goes with it."""
    module = machine.module
    going = {holder}
    if holder in module.parts:
        for _ in there:
            going |= {p.id for p in module.parts.values() if going & set(p.rests_on) and not p.fixed}
        going |= {f.id for f in module.fasteners.values() if f.clamps and set(f.clamps) <= going}
        going |= {line.id for line in module.lines.values() if going & set(line.joins)}
        going |= {name for name in there if _screwed_into(machine, name, holder)}
    return tuple(name for name in there if name in going)


def _screwed_into(machine: Scene, name: str, holder: str) -> bool:
    """Tell whether a screw that clamps nothing has its seat on a part."""
    shape = machine.shapes.shapes.get(name)
    if shape is None or shape.plug is None or machine.module.fasteners[name].clamps:
        return False
    _, low, _, high = machine.pieces[holder].box
    return low < machine.pieces[name].middle[1] < high


def _shift(machine: Scene, happens: Incident, height: float) -> Point:
    shape = machine.shapes.shapes[happens.thrown[0]]
    far = _FLIES if len(happens.thrown) == 1 and shape.leaves in (Toward.LEFT, Toward.RIGHT) else _OPENS
    dx, dz = shape.leaves.step
    return dx * far * height, dz * far * height


def _sets_parted(machine: Scene, happens: Incident) -> tuple[list[Piece], list[Piece]]:
    """Return what is thrown, and what stays of sets of screws from the side: only those at what is thrown go with it."""
    going, staying = [], []
    holder = machine.pieces[happens.thrown[0]]
    for name in happens.thrown:
        piece, shape = machine.pieces[name], machine.shapes.shapes[name]
        if shape.plug is None or not shape.plug.others or piece is holder:
            going.append(piece)
            continue
        near, rest = piece.parted(holder.box)
        going.append(near)
        staying.append(rest)
    return going, staying


def _mark(happens: Incident, name: str) -> str:
    return "thrown" if name == happens.thrown[0] or len(happens.thrown) < 3 else ""


def shown(machine: Scene, happens: Incident) -> Box:
    """Return the part of the machine that the picture shows, in mm."""
    shift = _shift(machine, happens, machine.box[3] - machine.box[1])
    return _window(machine, happens, [Placed(machine.pieces[name], *shift) for name in happens.thrown])


def _window(machine: Scene, happens: Incident, thrown: Sequence[Placed]) -> Box:
    """Return the part of the machine that the picture shows: what is thrown, with its joint."""
    x0, z0, x1, z1 = box_of(thrown)
    m0, m_low, m1, m_top = machine.box
    high, across = z1 - z0, x1 - x0
    air = 0.055 * (m_top - m_low)
    tops = [max(z for _, z in loop) for loop in _outlines(machine, happens.energy.id)]
    if across < 0.35 * (m1 - m0):  # a plug or a gland: with the machine round it
        x0, x1 = min(x0 - 2.2 * air, -0.25 * (m1 - m0)), max(x1 + 2.2 * air, 0.25 * (m1 - m0))
        tall, middle = 0.62 * (x1 - x0), (z0 + z1) / 2
        if _falls(thrown):
            return x0, z0 - 2.2 * air, x1, min(m_top, z0 - 2.2 * air + 1.25 * tall)
        low = min(middle - 0.6 * tall, max(tops, default=middle) - 0.25 * tall)
        return x0, max(m_low, low), x1, min(m_top + air, middle + 0.6 * tall)
    low = min(z0 - 0.22 * high, max(tops, default=z0) - 0.55 * high)
    return x0 - 2.2 * air, max(low, m_low), x1 + 2.2 * air, z1 + 1.3 * air


def _falls(thrown: Sequence[Placed]) -> bool:
    """Tell whether what is thrown goes down."""
    return thrown[0].dz < 0


def _gas(machine: Scene, happens: Incident, placed: Sequence[Placed], shift: Point, sheet: Sheet) -> str:
    """Return dots in the spaces that hold the energy, between what stands and what has moved."""
    outlines = _outlines(machine, happens.energy.id)
    if not outlines:
        return ""
    if len(happens.thrown) > 1:  # the space grows with what is lifted off it
        outlines += [tuple((x + shift[0], z + shift[1]) for x, z in loop) for loop in outlines]
    solid = [item.piece.face_loops for item in placed]
    dots = []
    for row in range(int(sheet.height / (_DOTS * 0.87)) + 2):
        y = row * _DOTS * 0.87
        z = sheet.z1 - y / sheet.scale
        spans = _spans(outlines, z)
        blocked = [span for loops in solid for span in _pairs(crossings(loops, z))]
        start = _DOTS / 2 if row % 2 else 0.0
        for n in range(int(sheet.width / _DOTS) + 1):
            x = sheet.x0 + (start + n * _DOTS) / sheet.scale
            if any(a < x < b for a, b in spans) and not any(a - 0.4 < x < b + 0.4 for a, b in blocked):
                dots.append(f"M{pair(*sheet.at(x, z))}h0")
    return path("".join(dots), "gas")


def _outlines(machine: Scene, energy: str) -> list[Loop]:
    """Return the spaces that hold an energy, as polygons."""
    found: list[Loop] = []
    for space in machine.shapes.spaces.values():
        if energy in space.holds:
            found += [rounded(loop).points for loop in space.loops]
            if len(space.profile) > 2:
                right = rounded(space.profile)
                found += [right.points, right.mirrored().points]
    return found


def _spans(outlines: Sequence[Loop], z: float) -> list[tuple[float, float]]:
    return [span for loop in outlines for span in _pairs(crossings((loop,), z))]


def _pairs(found: Sequence[float]) -> list[tuple[float, float]]:
    return list(zip(found[::2], found[1::2], strict=False))


def _arrows(thrown: Sequence[Placed], shift: Point, sheet: Sheet) -> list[str]:
    """Return arrows that rise from what is thrown, or one ahead of a screw that flies."""
    first = thrown[0]
    x0, z0, x1, z1 = first.box
    length = 26.0
    if not shift[1]:
        ahead = sheet.at(x1 if shift[0] > 0 else x0, (z0 + z1) / 2)
        sign = 1 if shift[0] > 0 else -1
        return [arrow((ahead[0] + sign * 5, ahead[1]), (ahead[0] + sign * (5 + length), ahead[1]), 8)]
    loops = [loop for item in thrown for loop in item.piece.face_loops]
    arrows = []
    for share in (-0.45, -0.22, 0.22, 0.45) if x1 - x0 > 40 else (-0.36, 0.36):
        x = share * (x1 - x0) / 2 + (x0 + x1) / 2
        spans = column_spans(loops, x)
        tops = [b for _, b in spans]
        if spans and shift[1] < 0:
            at = sheet.at(x, min(a for a, _ in spans))
            arrows.append(arrow((at[0], at[1] + 5), (at[0], at[1] + 5 + length), 8))
        elif tops:
            at = sheet.at(x, max(tops))
            arrows.append(arrow((at[0], at[1] - 5), (at[0], at[1] - 5 - length), 8))
    return arrows


def _jets(happens: Incident, thrown: Sequence[Placed], shift: Point, sheet: Sheet) -> str:
    """Return the gas that blows from the joint: three strokes a side; nothing for a spring."""
    if happens.energy.pressure is None:
        return ""
    first = thrown[0]
    x0, z0, x1, z1 = first.box
    if not shift[1]:
        # From the hole, round what flies out of it.
        x = x0 if shift[0] > 0 else x1
        sign = 1 if shift[0] > 0 else -1
        spread, middle = (z1 - z0) / 2, (z0 + z1) / 2
        return "".join(
            _fan(sheet.at(x - shift[0] * 0.7, middle + s * spread * 0.5), sign, s) for s in (1, -1)
        )
    joint = _joint(first)
    y = joint - shift[1] / 2
    reach = first.piece.reach(joint + 0.02 * (z1 - z0)) or x1
    return "".join(_fan(sheet.at(s * (reach + 2.5), y), s, 0) for s in (1, -1))


def _fan(at: Point, sign: int, tilt: int) -> str:
    """Return three strokes that spread from a point in px."""
    return "".join(
        f"M{pair(at[0] + sign * 3, at[1] + a * 0.25)}l{pair(sign * 24, a - tilt * 5)}" for a in (-9, 0, 9)
    )


def _joint(item: Placed) -> float:
    """Return the height of the joint: the underside of where a part reaches farthest out."""
    _, low, _, high = item.box
    count, down = 60, item.dz < 0
    levels = [low + (n + 0.5) / count * (high - low) for n in range(count)]
    reaches = [item.reach(z) for z in levels]
    widest = max(reaches)
    half = (high - low) / count / 2
    if down:  # what falls out has its joint on the upper side
        return half + max(z for z, r in zip(levels, reaches, strict=True) if r >= 0.95 * widest)
    return next(z for z, r in zip(levels, reaches, strict=True) if r >= 0.95 * widest) - half


def _breaks(box: Box, sheet: Sheet) -> list[str]:
    """Return a break line at each end where the machine goes on."""
    found = []
    if sheet.z0 > box[1] + 1:
        found.append(zigzag(0.0, sheet.width, sheet.height - 10, sheet.height + 2))
    if sheet.z1 < box[3] - 1:
        found.append(zigzag(0.0, sheet.width, 10.0, -2.0))
    return found
