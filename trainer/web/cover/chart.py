"""The chart of a forecast: a lane a task, the line of its cover falling step by step, and the line of what is needed.

The numbers stand beside it as a table, so title and description only say what is to be seen.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from markupsafe import Markup

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from trainer.actions.cover_views import Track

WIDTH = 340
_LEFT, _RIGHT, _TOP = 44, 326, 8
_LANE, _DEPTH = 52, 34
_HATCH = 8
# A number takes so much room beside its step.
_NUMBER = 14
_TICKS = 4


def lanes(
    prefix: str, title: str, description: str, tracks: Sequence[Track], first: date, weeks: int
) -> Markup:
    """Return the chart of some tasks over some weeks.

    Args:
        prefix: of the ids; one of its own for each picture on a page.
        title: what the chart shows.
        description: what is to be seen, in a sentence.
        tracks: a lane each, from above.
        first: the day at the left.
        weeks: how long it is.
    """
    bottom = _TOP + _LANE * len(tracks)
    parts = [_ticks(first, weeks, bottom)]
    parts += [_lane(track, _TOP + _LANE * row, first, weeks) for row, track in enumerate(tracks)]
    return Markup(
        '<svg class="lanes" viewBox="0 0 {} {}" role="img" aria-labelledby="{p}-t" aria-describedby="{p}-d">'
        '<title id="{p}-t">{}</title><desc id="{p}-d">{}</desc>{}</svg>'
    ).format(WIDTH, bottom + 24, title, description, Markup("").join(parts), p=prefix)


def _ticks(first: date, weeks: int, bottom: int) -> Markup:
    parts = []
    for number in range(_TICKS + 1):
        day = first + timedelta(days=round(weeks * 7 * number / _TICKS))
        x = _n(_across(day, first, weeks))
        anchor = "end" if number == _TICKS else "start" if number == 0 else "middle"
        parts.append(Markup('<path class="grid" d="M{} {}V{}"/>').format(x, _TOP, bottom))
        parts.append(
            Markup('<text x="{}" y="{}" text-anchor="{}">{}</text>').format(
                x, bottom + 15, anchor, day.isoformat()[5:]
            )
        )
    return Markup("").join(parts)


def _lane(track: Track, top: int, first: date, weeks: int) -> Markup:
    most = max([track.task.needed, 1, *(have for _, have in track.steps)])
    base = top + _DEPTH + 10

    def y(have: int) -> float:
        return base - _DEPTH * have / most

    places = [_across(day, first, weeks) for day, _ in track.steps]
    needed = _n(y(track.task.needed))
    path = f"M{_n(places[0])} {_n(y(track.steps[0][1]))}"
    parts = [
        Markup('<text class="name" x="{}" y="{}" text-anchor="end">{}</text>').format(
            _LEFT - 6, base - 10, track.task.id
        ),
        Markup('<path class="base" d="M{} {}H{}"/>').format(_LEFT, base, _RIGHT),
        Markup('<path class="needed" d="M{} {}H{}"/>').format(_LEFT, needed, _RIGHT),
    ]
    ends = [*places[1:], float(_RIGHT)]
    for (_, have), start, end in zip(track.steps, places, ends, strict=True):
        if have < track.task.needed:
            parts.append(_missing(start, end, y(have), y(track.task.needed)))
        path += f"V{_n(y(have))}H{_n(end)}"
    parts.append(Markup('<path class="track" d="{}"/>').format(path))
    written = float("-inf")
    for (_, have), start in zip(track.steps, places, strict=True):
        # Two falls within a few days would write one number over the other; the table has them both.
        if start - written >= _NUMBER:
            parts.append(
                Markup('<text class="have" x="{}" y="{}">{}</text>').format(
                    _n(min(start + 3, _RIGHT - 8)), _n(y(have) - 4), have
                )
            )
            written = start
    return Markup("").join(parts)


def _missing(start: float, end: float, low: float, high: float) -> Markup:
    """Return upright lines between what is there and what is needed."""
    if end - start > 2 * _NUMBER:
        start += _NUMBER
    count = max(1, int((end - start) / _HATCH))
    lines = "".join(
        f"M{_n(start + (end - start) * (n + 0.5) / count)} {_n(low)}V{_n(high)}" for n in range(count)
    )
    return Markup('<path class="missing" d="{}"/>').format(lines)


def _across(day: date, first: date, weeks: int) -> float:
    return _LEFT + (_RIGHT - _LEFT) * (day - first).days / (weeks * 7)


def _n(value: float) -> str:
    return f"{value:.1f}".rstrip("0").rstrip(".")
