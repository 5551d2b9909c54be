"""Plots of shares as line work: drawn here as SVG, coloured by classes of the style sheet alone.

The numbers stand beside each plot as a table, so title and description only say what is to be seen.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor
from typing import TYPE_CHECKING

from markupsafe import Markup

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

WIDTH, HEIGHT = 340, 220
_LEFT, _RIGHT, _TOP, _BOTTOM = 48, 330, 12, 176
_CAP = 4
_THICKEST, _THINNEST = 6.0, 1.0
_FARTHEST, _NEAREST = 95.0, 22.0


@dataclass(frozen=True)
class Dot:
    """A share at one place of the plot, with its interval, its label below, and what was predicted, if anything."""

    label: str
    share: float
    low: float
    high: float
    predicted: float | None = None


@dataclass(frozen=True)
class Place:
    """A place of a curve."""

    x: float
    y: float


@dataclass(frozen=True)
class Arc:
    """A relation between two rows counted from 0; `weight` from 0 to 1 is how often it was broken, of the most."""

    first: int
    second: int
    weight: float
    hurts: bool


def shares(
    prefix: str, title: str, description: str, dots: Sequence[Dot], *, across: str, joined: bool
) -> Markup:
    """Return shares side by side, each with its interval.

    Args:
        prefix: of the ids; one of its own for each plot on a page.
        title: what the plot shows.
        description: what is to be seen, in a sentence.
        dots: from left to right.
        across: what the places mean.
        joined: whether a line joins the shares.
    """
    step = (_RIGHT - _LEFT) / max(len(dots), 1)
    places = [_LEFT + step * (number + 0.5) for number in range(len(dots))]
    parts = [_frame(), _labels(dots, places, across)]
    if joined:
        parts.append(_line("joined", [(x, _y(dot.share)) for x, dot in zip(places, dots, strict=True)]))
    foretold = [
        (x, _y(dot.predicted)) for x, dot in zip(places, dots, strict=True) if dot.predicted is not None
    ]
    parts.append(_line("foretold", foretold))
    for x, y in foretold:
        parts.append(Markup('<path class="open" d="M{} {}l5 5-5 5-5-5Z"/>').format(_n(x), _n(y - 5)))
    for x, dot in zip(places, dots, strict=True):
        parts.append(_interval(x, dot))
    return _svg(prefix, title, description, WIDTH, HEIGHT, parts, "plot")


def scale(
    prefix: str,
    title: str,
    description: str,
    points: Sequence[float],
    middle: float,
    spread: float,
    most: float,
) -> Markup:
    """Return points on one line from 0 to `most`, with their mean and a bar of one spread to either side."""

    def x(value: float) -> float:
        return _LEFT + (_RIGHT - _LEFT) * min(max(value / most, 0.0), 1.0)

    base = 46
    low, high = x(middle - spread), x(middle + spread)
    parts = [
        Markup('<path class="axis" d="M{} {}H{}"/>').format(_LEFT, base, _RIGHT),
        Markup('<path class="bar" d="M{} {}v10m0-5H{}m0-5v10"/>').format(_n(low), base + 12, _n(high)),
        Markup('<path class="mean" d="M{} {}v40"/>').format(_n(x(middle)), base - 18),
    ]
    parts += [
        Markup('<circle class="dot" cx="{}" cy="{}" r="4"/>').format(_n(x(one)), base) for one in points
    ]
    for value in (0.0, most):
        parts.append(
            Markup('<text class="tick" x="{}" y="{}" text-anchor="middle">{}</text>').format(
                _n(x(value)), base + 24, f"{value:g}"
            )
        )
    parts.append(
        Markup('<text class="tick" x="{}" y="18" text-anchor="middle">{}</text>').format(
            _n(x(middle)), f"{middle:.2f}"
        )
    )
    return _svg(prefix, title, description, WIDTH, 84, parts, "plot")


def curves(
    prefix: str,
    title: str,
    description: str,
    lines: Sequence[tuple[str, Sequence[Place]]],
    cut: float,
    *,
    across: str,
) -> Markup:
    """Return curves over one scale from 0 upwards, with an upright line at the cut.

    Args:
        prefix: of the ids; one of its own for each plot on a page.
        title: what the plot shows.
        description: what is to be seen, in a sentence.
        lines: the kind of each curve (`joined` or `foretold`) and its places from left to right.
        cut: where the upright line stands.
        across: what the scale means.
    """
    every = [place for _, places in lines for place in places]
    first, last = min(place.x for place in every), max(place.x for place in every)
    most = max(place.y for place in every) or 1.0

    def x(value: float) -> float:
        return _LEFT + (_RIGHT - _LEFT) * min(max((value - first) / (last - first), 0.0), 1.0)

    parts = [Markup('<path class="axis" d="M{} {}V{}H{}"/>').format(_LEFT, _TOP, _BOTTOM, _RIGHT)]
    parts += [
        Markup('<text class="tick" x="{}" y="{}" text-anchor="end">{}</text>').format(
            _LEFT - 6, _n(_y(share) + 4), f"{share * most:.1f}"
        )
        for share in (0.0, 0.5, 1.0)
    ]
    parts += [
        Markup('<text class="tick" x="{}" y="{}" text-anchor="middle">{}</text>').format(
            _n(x(value)), _BOTTOM + 17, f"{value:d}".replace("-", "−")
        )
        for value in range(ceil(first), floor(last) + 1, 2)
    ]
    parts.append(Markup('<path class="mean" d="M{} {}V{}"/>').format(_n(x(cut)), _TOP, _BOTTOM))
    parts += [_line(kind, [(x(place.x), _y(place.y / most)) for place in places]) for kind, places in lines]
    parts.append(
        Markup('<text class="across" x="{}" y="{}" text-anchor="middle">{}</text>').format(
            _n((_LEFT + _RIGHT) / 2), HEIGHT - 8, across
        )
    )
    return _svg(prefix, title, description, WIDTH, HEIGHT, parts, "plot")


def range_bar(low: float, share: float, high: float) -> Markup:
    """Return a share and its interval on a line from 0 to 100 %, for a row of a table; the numbers stand beside it."""
    width = 120
    return Markup(
        '<svg class="range" viewBox="-5 0 130 16" aria-hidden="true"><path class="axis" d="M0 8H{w}M0 3v10M60 5v6M{w} 3v10"/>'
        '<path class="bar" d="M{low} 8H{high}"/><circle class="dot" cx="{at}" cy="8" r="3.5"/></svg>'
    ).format(w=width, low=_n(low * width), high=_n(high * width), at=_n(share * width))


def arcs(prefix: str, title: str, description: str, found: Iterable[Arc], rows: int) -> Markup:
    """Return arcs beside a list of rows of equal height: the thicker, the oftener; a dot where the step came too early.

    What can hurt is drawn through, the rest is dashed.
    """
    parts = []
    # Thin ones last, so that they are not hidden by thick ones.
    for arc in sorted(found, key=lambda one: -one.weight):
        start, end = arc.first + 0.5, arc.second + 0.5
        out = _NEAREST + (_FARTHEST - _NEAREST) * min(1.0, abs(end - start) / max(rows - 1, 1))
        thick = _THINNEST + (_THICKEST - _THINNEST) * arc.weight
        kind = "hurts" if arc.hurts else "holds-up"
        parts.append(
            Markup('<path class="{}" stroke-width="{}" d="M4 {}C{} {} {} {} 4 {}"/>').format(
                kind, _n(thick), _n(start), _n(out * 1.3), _n(start), _n(out * 1.3), _n(end), _n(end)
            )
        )
        parts.append(
            Markup('<path class="end" stroke-width="{}" d="M4 {}h0"/>').format(_n(thick + 5), _n(end))
        )
    body = Markup("").join(parts)
    return Markup(
        '<svg class="arcs" viewBox="0 0 100 {}" preserveAspectRatio="none" role="img" aria-labelledby="{}-t {}-d">'
        '<title id="{}-t">{}</title><desc id="{}-d">{}</desc>{}</svg>'
    ).format(rows, prefix, prefix, prefix, title, prefix, description, body)


def _frame() -> Markup:
    lines = [
        Markup('<path class="grid" d="M{} {}H{}"/>').format(_LEFT, _n(_y(share)), _RIGHT)
        for share in (0.25, 0.5, 0.75, 1.0)
    ]
    texts = [
        Markup('<text class="tick" x="{}" y="{}" text-anchor="end">{} %</text>').format(
            _LEFT - 6, _n(_y(share) + 4), round(share * 100)
        )
        for share in (0.0, 0.5, 1.0)
    ]
    outline = Markup('<path class="axis" d="M{} {}V{}H{}"/>').format(_LEFT, _TOP, _BOTTOM, _RIGHT)
    return Markup("").join([*lines, *texts, outline])


def _labels(dots: Sequence[Dot], places: Sequence[float], across: str) -> Markup:
    texts = [
        Markup('<text class="tick" x="{}" y="{}" text-anchor="middle">{}</text>').format(
            _n(x), _BOTTOM + 17, dot.label
        )
        for x, dot in zip(places, dots, strict=True)
    ]
    middle = (_LEFT + _RIGHT) / 2
    what = Markup('<text class="across" x="{}" y="{}" text-anchor="middle">{}</text>').format(
        _n(middle), HEIGHT - 8, across
    )
    return Markup("").join([*texts, what])


def _interval(x: float, dot: Dot) -> Markup:
    low, high = _y(dot.low), _y(dot.high)
    return Markup(
        '<path class="bar" d="M{left} {low}h{wide}M{left} {high}h{wide}M{x} {low}V{high}"/>'
        '<circle class="dot" cx="{x}" cy="{y}" r="4"/>'
    ).format(left=_n(x - _CAP), wide=2 * _CAP, low=_n(low), high=_n(high), x=_n(x), y=_n(_y(dot.share)))


def _line(kind: str, points: Sequence[tuple[float, float]]) -> Markup:
    if len(points) < 2:
        return Markup("")
    path = "L".join(f"{_n(x)} {_n(y)}" for x, y in points)
    return Markup('<path class="{}" d="M{}"/>').format(kind, path)


def _svg(
    prefix: str, title: str, description: str, width: int, height: int, parts: Iterable[Markup], kind: str
) -> Markup:
    return Markup(
        '<svg class="{}" viewBox="0 0 {} {}" role="img" aria-labelledby="{p}-t {p}-d">'
        '<title id="{p}-t">{}</title><desc id="{p}-d">{}</desc>{}</svg>'
    ).format(kind, width, height, title, description, Markup("").join(parts), p=prefix)


def _y(share: float) -> float:
    return _BOTTOM - (_BOTTOM - _TOP) * share


def _n(value: float) -> str:
    return f"{value:.1f}".rstrip("0").rstrip(".")
