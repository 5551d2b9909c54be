"""The relief of a part: heights in grey, a silhouette that bounds it, and what lies on it; lit by filters."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, hypot, radians, sin
from typing import TYPE_CHECKING

from trainer.drawing.defects.strokes import blob, circle, eased, line, polar, wandering
from trainer.drawing.svg import number, path, tag

if TYPE_CHECKING:
    from collections.abc import Sequence

    from trainer.drawing.defects.chance import Chance
    from trainer.drawing.defects.strokes import Point
    from trainer.procedure.damage import AsFound

# How far the bitmap of a filter reaches, in units.
_REACH = 232


def grey(height: float) -> str:
    """Return the grey of a height from 0 to 1."""
    level = round(255 * min(1.0, max(0.0, height)))
    return f"#{level:02x}{level:02x}{level:02x}"


def decimal(value: float) -> str:
    """Return a share with three decimals at most."""
    return f"{value:.3f}".rstrip("0").rstrip(".")


@dataclass(frozen=True)
class Skin:
    """How a material takes the light: its class in the style sheet, grain and shine.

    `depth` is how many units lie between the darkest and the lightest grey; `grain` is a share of the light and `fine`
    its frequency a unit, across and along.
    """

    name: str
    depth: float
    grain: float
    fine: tuple[float, float]
    shine: float
    narrow: float


class Relief:
    """A part being painted: a skin shaded by its form, marks in it as heights about 0.5, and what lies on it.

    Form is shaded with gradients, for a lit relief of it would show the steps of its greys. `spot` and `reach` are where
    the loupe is held and how far it sees.
    """

    def __init__(self, prefix: str, chance: Chance, found: AsFound) -> None:
        self.prefix = prefix
        self.chance = chance
        self.found = found
        self.spot: Point = (0.0, 0.0)
        self.reach = 46.0
        self.skin = Skin("rubber", 10, 0.1, (0.4, 0.4), 0.3, 12)
        # The light comes from above, never from quite the same place.
        self.azimuth = chance.between(195, 262)
        self.elevation = chance.between(42, 56)
        self._edge = ""
        self._form: list[str] = []
        self._heights: list[str] = []
        self._over: list[str] = []
        self._kept: dict[str, tuple[str, str]] = {}

    def edge(self, data: str) -> None:
        """Set the silhouette; nothing is painted outside it."""
        self._edge = data

    def _keep(self, name: str, element: str) -> str:
        """Keep a gradient or filter once, and return how it is referred to: by a number, for a name might tell."""
        if name not in self._kept:
            mark = f' id="{self.prefix}-k{len(self._kept)}" '
            self._kept[name] = (f"url(#{self.prefix}-k{len(self._kept)})", element.replace(" ", mark, 1))
        return self._kept[name][0]

    def shade(self, outer: float, tones: Sequence[tuple[float, float]]) -> None:
        """Shade by the radius alone: pairs of radius and tone, -1 black to 1 white, from the inside out."""
        stops = []
        for n, (r, tone) in enumerate(tones):
            if n and tone * tones[n - 1][1] < 0:
                between = (r + tones[n - 1][0]) / 2
                stops += [
                    _stop(between / outer, 0.0, dark=tone > 0),
                    _stop(between / outer, 0.0, dark=tone < 0),
                ]
            stops.append(_stop(r / outer, abs(tone), dark=tone < 0))
        fill = self._keep(
            f"form{len(self._kept)}",
            tag("radialGradient", *stops, gradientUnits="userSpaceOnUse", cx=0.0, cy=0.0, r=outer),
        )
        self._form.append(path(circle(outer), fill=fill))

    def slope(self, data: str, width: float, strength: float, soft: float = 0.0) -> None:
        """Shade a band that leans outwards by where the light comes from; a negative strength leans inwards."""
        sign = 1 if strength > 0 else -1
        x, y = polar(200, self.azimuth)
        stops = (
            _stop(0, 1, dark=False),
            _stop(0.5, 0, dark=False),
            _stop(0.5, 0, dark=True),
            _stop(1, 1, dark=True),
        )
        ends = {"x1": sign * x, "y1": sign * y, "x2": -sign * x, "y2": -sign * y}
        stroke = self._keep(
            f"slope{sign}", tag("linearGradient", *stops, gradientUnits="userSpaceOnUse", **ends)
        )
        self._form.append(
            path(
                data,
                stroke=stroke,
                stroke_width=decimal(width),
                stroke_opacity=_share(abs(strength)),
                filter=self._soft(soft, whole=True),
            )
        )

    def tone(
        self, data: str, tone: float, width: float = 0.0, soft: float = 0.0, dash: str | None = None
    ) -> None:
        """Darken or lighten an area, or with a width a line, as part of the form."""
        colour, share = ("#000" if tone < 0 else "#fff"), decimal(abs(tone))
        if width:
            drawn = path(
                data,
                stroke=colour,
                stroke_width=decimal(width),
                stroke_opacity=share,
                stroke_dasharray=dash,
                filter=self._soft(soft, whole=True),
            )
        else:
            drawn = path(data, fill=colour, fill_opacity=share, fill_rule="evenodd", filter=self._soft(soft))
        self._form.append(drawn)

    def area(self, data: str, height: float, share: float = 1.0, soft: float = 0.0) -> None:
        """Paint an area at a height; `share` mixes it with what is there, `soft` blurs its edge, in units."""
        self._heights.append(
            path(data, fill=grey(height), fill_opacity=_share(share), filter=self._soft(soft))
        )

    def stroke(
        self,
        data: str,
        width: float,
        height: float,
        share: float = 1.0,
        soft: float = 0.0,
        dash: str | None = None,
    ) -> None:
        """Paint a line at a height."""
        self._heights.append(
            path(
                data,
                stroke=grey(height),
                stroke_width=decimal(width),
                stroke_opacity=_share(share),
                stroke_dasharray=dash,
                filter=self._soft(soft),
            )
        )

    def dome(self, data: str, share: float, *, down: bool = False, soft: float = 0.9) -> None:
        """Paint a swelling, or a hollow, that fades towards the outline."""
        colour = grey(0.0 if down else 1.0)
        # Steep at its foot and round on top.
        stops = "".join(
            tag(
                "stop",
                offset=decimal(t),
                stop_color=colour,
                stop_opacity=decimal(eased(1 - t**2.2, 0.9)),
            )
            for t in (0.0, 0.2, 0.4, 0.55, 0.7, 0.8, 0.9, 1.0)
        )
        fill = self._keep(
            "hollow" if down else "dome", tag("radialGradient", stops, cx="0.5", cy="0.5", r="0.5")
        )
        self._heights.append(path(data, fill=fill, fill_opacity=_share(share), filter=self._soft(soft)))

    def over(
        self, data: str, kind: str, share: float = 1.0, *, width: float = 0.0, soft: float = 0.0
    ) -> None:
        """Lay something on the lit surface; `kind` is its class, as an area or, with a width, as a line."""
        shared = {"filter": self._soft(soft)}
        if width:
            drawn = path(
                data,
                f"on-{kind} drawn-on",
                stroke_width=decimal(width),
                stroke_opacity=_share(share),
                **shared,
            )
        else:
            drawn = path(data, f"on-{kind}", fill_opacity=_share(share), **shared)
        self._over.append(drawn)

    def spot_at(self, degrees: float) -> Point:
        """Return where the loupe is when it is held at an angle, as far out as the place it would choose."""
        return polar(hypot(*self.spot), degrees)

    def near(self, low: float, high: float) -> Point:
        """Return a place in the loupe, between two shares of its reach away from the middle."""
        x, y = polar(self.reach * self.chance.between(low, high), self.chance.between(0, 360))
        return self.spot[0] + x, self.spot[1] + y

    def _soft(self, blur: float, *, whole: bool = False) -> str | None:
        """Return a blur; `whole` reaches over all of the part, for lines that run round it."""
        if not blur:
            return None
        level = next((n for n, most in enumerate(_BLURS) if blur <= most), len(_BLURS) - 1)
        room = (
            {
                "filterUnits": "userSpaceOnUse",
                "x": -_REACH,
                "y": -_REACH,
                "width": 2 * _REACH,
                "height": 2 * _REACH,
            }
            if whole
            else {"x": "-0.5", "y": "-0.5", "width": "2", "height": "2"}
        )
        blurred = tag("feGaussianBlur", stdDeviation=decimal(_BLURS[level]))
        made = tag("filter", blurred, color_interpolation_filters="sRGB", **room)
        return self._keep(f"{'wide' if whole else 'soft'}{level}", made)

    def parts(self) -> tuple[str, str]:
        """Return what is referred to, and the lit part as a group."""
        clip = f"{self.prefix}-edge"
        shape = tag("clipPath", path(self._edge, clip_rule="evenodd"), id=clip)
        clipped = f"url(#{clip})"
        all_of_it = f"M{-_REACH} {-_REACH}h{2 * _REACH}v{2 * _REACH}h{-2 * _REACH}z"
        form = tag("g", path(all_of_it, f"skin-{self.skin.name}"), *self._form, clip_path=clipped)
        heights = tag("g", path(all_of_it, fill=grey(0.5)), *self._heights, filter=f"url(#{self.prefix}-lit)")
        lit = tag("g", heights, class_="lit", clip_path=clipped)
        laid = tag("g", *self._over, clip_path=clipped)
        shadow = path(self._edge, "cast-shadow", fill_rule="evenodd", transform="translate(3 4)")
        part = tag("g", form, lit, class_="found")
        kept = (element for _, element in self._kept.values())
        drawn = shadow + part + laid + path(self._edge, "brim")
        return "".join((shape, *kept, self._light())), drawn

    def _light(self) -> str:
        """Return the filter that lights the marks: what is level comes out as middle grey, which changes nothing."""
        skin, chance = self.skin, self.chance
        light = tag("feDistantLight", azimuth=number(self.azimuth), elevation=number(self.elevation))
        level = sin(radians(self.elevation))
        f = skin.fine
        # What shines on the level is taken off again, so that only slopes shine.
        halfway = cos(radians(45 - self.elevation / 2)) ** skin.narrow * skin.shine
        steps = (
            tag("feColorMatrix", in_="SourceGraphic", type="luminanceToAlpha", result="h"),
            tag("feGaussianBlur", in_="h", stdDeviation="0.45", result="s"),
            tag(
                "feDiffuseLighting",
                light,
                in_="s",
                lighting_color="#fff",
                surfaceScale=decimal(skin.depth),
                diffuseConstant=decimal(0.5 / level),
                result="d",
            ),
            tag(
                "feSpecularLighting",
                light,
                in_="s",
                lighting_color="#fff",
                surfaceScale=decimal(skin.depth),
                specularConstant=decimal(skin.shine),
                specularExponent=decimal(skin.narrow),
                result="p",
            ),
            tag(
                "feComposite",
                in_="p",
                in2="d",
                operator="arithmetic",
                k2="1",
                k3="1",
                k4=decimal(-halfway),
                result="l",
            ),
            tag(
                "feTurbulence",
                type="fractalNoise",
                baseFrequency=f"{decimal(f[0])} {decimal(f[1])}",
                numOctaves="3",
                seed=str(chance.whole(1, 9999)),
            ),
            tag("feColorMatrix", values="1 0 0 0 0 1 0 0 0 0 1 0 0 0 0 0 0 0 0 1", result="n"),
            tag(
                "feComposite",
                in_="l",
                in2="n",
                operator="arithmetic",
                k2="1",
                k3=decimal(skin.grain),
                k4=decimal(-skin.grain / 2),
            ),
            tag("feColorMatrix", values="1 0 0 0 0 0 1 0 0 0 0 0 1 0 0 0 0 0 0 1"),
        )
        return tag(
            "filter",
            *steps,
            id=f"{self.prefix}-lit",
            filterUnits="userSpaceOnUse",
            x=-_REACH,
            y=-_REACH,
            width=2 * _REACH,
            height=2 * _REACH,
            color_interpolation_filters="sRGB",
        )


def _stop(at: float, share: float, *, dark: bool) -> str:
    colour = "#000" if dark else "#fff"
    return tag(
        "stop",
        offset=decimal(min(1.0, max(0.0, at))),
        stop_color=colour,
        stop_opacity=decimal(min(1.0, share)),
    )


_BLURS = (1.0, 2.0, 4.0, 8.0)


def _share(share: float) -> str | None:
    return None if share >= 1 else decimal(share)


def dust(relief: Relief, where: Sequence[Point], most: int = 9) -> None:
    """Lay dust and perhaps a fibre on a part, sound or not."""
    chance = relief.chance
    for _ in range(chance.whole(3, most)):
        x, y = chance.pick(where)
        at = (x + chance.between(-9, 9), y + chance.between(-9, 9))
        size = chance.between(0.5, 1.5)
        relief.over(
            blob(chance, at, size, size * chance.between(0.5, 1), chance.between(0, 180)),
            "pale",
            chance.between(0.35, 0.8),
        )
    if chance.yes(0.45):
        start = chance.pick(where)
        curl = wandering(chance, start, chance.between(0, 360), chance.between(12, 30), 42, 4)
        relief.over(line(curl), "cream", 0.75, width=chance.between(0.5, 0.9))


def places(chance: Chance, inner: float, outer: float, count: int = 24) -> list[Point]:
    """Return spots between two radii."""
    return [polar(chance.between(inner, outer), chance.between(0, 360)) for _ in range(count)]
