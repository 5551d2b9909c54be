"""A section as a file of its own for the printed papers: black, grey and line only, without style variables.

What sets the papers reads classes and plain values, but no variables; so the widths of `drawing.css` stand here again.
"""

from __future__ import annotations

_OUTLINE = {"wide": 1.9, "phone": 1.1, "small": 0.9, "detail": 1.5}
_TYPE = {"wide": 14, "phone": 12, "small": 11, "detail": 13}


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
        )
    )
