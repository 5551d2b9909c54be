"""A drawing as a file of its own for the printed papers: black, grey and line only, without style variables.

What sets the papers reads classes and plain values, but no variables; so the widths of `drawing.css` stand here again.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

_OUTLINE = {"wide": 1.9, "phone": 1.1, "small": 0.9, "detail": 1.5}
_TYPE = {"wide": 14, "phone": 12, "small": 11, "detail": 13}
# How thick a pipe and a tube of a station are, outside and inside.
_PIPE = {"wide": ((9.0, 6.2), (5.0, 3.0)), "phone": ((7.4, 5.0), (4.2, 2.4))}


def on_paper(svg: str, font: str = "Barlow Semi Condensed") -> str:
    """Return a drawing that is not seen from outside, with its printed colours and widths in it.

    Args:
        svg: what a view has drawn.
        font: the family that numbers and names are set in.
    """
    weight = next(name for name in _OUTLINE if f'class="drawing {name}"' in svg)
    head, found, rest = svg.partition("<title")
    return f"{head}<style>{_rules(weight, font)}</style>{found}{rest}"


def _rules(weight: str, font: str) -> str:
    outline = _OUTLINE[weight]
    narrow, hatch = round(outline * 0.52, 2), 0.7 if outline > 1.2 else 0.6
    dashes = "14 3 2 3" if weight in ("wide", "detail") else "9 2 1.5 2"
    return "".join(
        f"{selector}{{{values}}}"
        for selector, values in (
            ("path,circle,rect,ellipse", "fill:none;stroke:none;stroke-linejoin:round"),
            (".paper,.behind,.face,.open,.balloon,.flow,.box", "fill:#fff"),
            (".edge,.over,.behind", f"stroke:#000;stroke-width:{narrow}"),
            (".fine,.axis,.leader,.tangent,.flow,.break-line", f"stroke:#333;stroke-width:{narrow}"),
            (".face,.open", f"stroke:#000;stroke-width:{outline};fill-rule:evenodd"),
            (".hatch", f"stroke:#555;stroke-width:{hatch}"),
            (".axis", f"stroke-dasharray:{dashes};stroke-width:{round(narrow * 0.8, 2)}"),
            (".halo", f"stroke:#fff;stroke-width:{round(narrow + 2.4, 2)}"),
            (".dot", "stroke:#000;stroke-width:4;stroke-linecap:round"),
            (".gas", "stroke:#000;stroke-width:2.2;stroke-linecap:round"),
            (".jet,.arrow,.ring,.frame", f"stroke:#000;stroke-width:{outline}"),
            (".arrow-head", "fill:#000"),
            (".balloon,.box", f"stroke:#000;stroke-width:{round(narrow * 1.4, 2)}"),
            (".rubber .face", "fill:#444"),
            (".black .face", "fill:#000"),
            (".whole .face", "fill:#fff"),
            (".next .face,.thrown .face,.asked .face", f"fill:#ddd;stroke-width:{round(outline * 1.3, 2)}"),
            (".cast .face,.steel .face", "fill:#fff"),
            (".next .box,.next .face", f"stroke-width:{round(outline * 1.3, 2)}"),
            (".coming .face,.coming .box,.measure-line,.hidden", f"stroke:#333;stroke-width:{narrow}"),
            (".onward", f"stroke:#000;stroke-width:{outline};stroke-dasharray:7 4"),
            (".cross", f"stroke:#000;stroke-width:{outline * 2}"),
            (".onward-head,.open-hole,.hole-rim,.measure-head", "fill:#000"),
            (".hole-line,.slot-line", f"stroke:#000;stroke-width:{narrow};stroke-dasharray:12 3 2 3"),
            (".hidden", "stroke-dasharray:5 3"),
            (".pin-face", f"fill:#ddd;stroke:#000;stroke-width:{outline}"),
            (".pin-rule,.measure,.ring-link", f"stroke:#000;stroke-width:{outline}"),
            (".pin-edge", "stroke:#000;stroke-linecap:round"),
            (".pin", "stroke:#ddd;stroke-linecap:round"),
            (".rope", f"stroke:#000;stroke-width:{round(outline * 1.5, 2)};stroke-linecap:round"),
            (".lug", f"fill:#fff;stroke:#000;stroke-width:{outline}"),
            (".hook-edge", "stroke:#000;stroke-width:9"),
            (".hook", "stroke:#fff;stroke-width:6"),
            (".figure", f"stroke:#000;stroke-width:{round(outline * 2.4, 2)};stroke-linecap:round"),
            (".rule", f"stroke:#000;stroke-width:{narrow}"),
            (".ghost .face", f"fill:none;stroke-width:{narrow};stroke-dasharray:4 3"),
            ("text", f"fill:#000;font-family:'{font}';font-size:{_TYPE[weight]}px"),
            (".number", "font-weight:600;text-anchor:middle"),
            (".coming .turn", "font-weight:400;fill:#333"),
            (".head", "font-weight:600"),
            (".spot", "font-style:italic"),
            *(_of_a_station(outline, narrow, weight) if weight in _PIPE else ()),
        )
    )


def _of_a_station(outline: float, narrow: float, weight: str) -> Iterator[tuple[str, str]]:
    """Yield the rules of pipes and symbols: what a pipe holds is told by its pattern alone, in black and white."""
    size = _TYPE[weight]
    for pipe, (thick, inner), dot in zip(("", ".tube "), _PIPE[weight], (7, 4.5), strict=True):
        yield f"{pipe}.casing", f"stroke:#000;stroke-width:{thick}"
        yield f"{pipe}.core", f"stroke:#fff;stroke-width:{inner}"
        yield f"{pipe}.fill", f"stroke-width:{inner}"
        held = pipe.strip()
        yield f"{held}.inlet .core", "stroke:#000"
        dash, bars, jets = ("9 6", "2 5", "9 5") if not pipe else ("5 4", "1.5 3.5", "5 3")
        yield (
            f"{held}.outlet .fill",
            f"stroke:#000;stroke-width:{round(inner * 0.36, 2)};stroke-dasharray:{dash}",
        )
        yield f"{held}.shut-in .fill", f"stroke:#000;stroke-dasharray:{bars}"
        dots = (
            f"stroke:#000;stroke-width:{round(inner * 0.56, 2)};stroke-linecap:round;stroke-dasharray:0 {dot}"
        )
        yield f"{held}.nitrogen .fill", dots
        yield f"{held}.blowing .fill", f"stroke:#000;stroke-dasharray:{jets}"
    line = f"stroke:#000;stroke-width:{round(narrow * 1.5, 2)}"
    yield ".valve", f"fill:#fff;{line}"
    yield ".valve.shut", "fill:#000"
    yield ".stem", line
    yield ".lid", f"stroke:#000;stroke-width:{round(outline * 1.2, 2)}"
    yield ".mesh", f"stroke:#000;stroke-width:{narrow};stroke-dasharray:4 2.5"
    yield ".clear-spot", "fill:#fff"
    yield ".moved .valve", f"stroke-width:{round(outline * 1.3, 2)}"
    yield (
        ".letters",
        f"text-anchor:middle;font-weight:600;font-size:{size - 3 if weight == 'wide' else 8.5}px",
    )
    yield (
        ".tag",
        f"text-anchor:middle;font-weight:600;font-size:{size - 1}px;paint-order:stroke;stroke:#fff;stroke-width:2.5",
    )
