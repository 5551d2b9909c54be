"""A page in HTML that opens from a ZIP: it needs no other file, no network and no script to be read."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

_STYLE = """
body { font: 16px/1.45 'DIN Alternate', 'Bahnschrift', 'DejaVu Sans Condensed', sans-serif; color: #15202b; background: #fcfbf7;
  max-width: 60rem; margin: 2rem auto; padding: 0 1rem; font-variant-numeric: tabular-nums; }
h1 { font-size: 1.4rem; } h2 { font-size: 1.15rem; border-top: 2px solid; padding-top: .6rem; margin-top: 2rem; }
h3 { font-size: 1rem; } table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; vertical-align: top; padding: .3rem .5rem; border-top: 1px solid #4a5763; }
th { font-size: .75rem; font-weight: normal; } details { border-top: 1px solid #4a5763; padding: .3rem 0; }
summary { cursor: pointer; padding: .3rem 0; } code, a { overflow-wrap: anywhere; } .wide { overflow-x: auto; }
.short { white-space: nowrap; }
h4 { font-size: 1rem; margin: 1.2rem 0 .3rem; } p, ul, ol, dl { margin: .4rem 0; } small { font-size: .85rem; }
summary small { display: block; } details > :not(summary) { margin-left: 1rem; }
dt { font-size: .8rem; } dd { margin: 0 0 .4rem; } img { max-width: 100%; height: auto; display: block; }
.row { border-top: 1px solid #4a5763; padding: .4rem 0; } .links a { margin-right: 1rem; }
.options { list-style: none; padding: 0; display: flex; flex-wrap: wrap; gap: .3rem 1.2rem; }
.caution, .why, .marked { border-left: 3px solid; padding-left: .6rem; }
.photograph { max-width: 16rem; max-height: 16rem; margin-top: .3rem; }
@media (max-width: 40rem) {
  .wide tr, .wide td { display: block; border: 0; } .wide th { display: none; } .wide tr { border-top: 1px solid; }
  .wide td:empty { display: none; } .wide td::before { content: attr(data-label) ": "; font-size: .75rem; }
}
@media (prefers-color-scheme: dark) {
  body { color: #e6edf3; background: #0e1b2a; } a { color: #8fbaff; } img { background: #fff; }
}
"""


def written(title: str, body: Iterable[str]) -> bytes:
    """Return the page.

    Args:
        title: its title, as plain text.
        body: pieces of HTML, one behind the other.
    """
    joined = "\n".join(body)
    text = (
        f'<!doctype html>\n<html lang="en">\n<head><meta charset="utf-8">'
        f'<meta name="viewport" content="width=device-width"><title>{escape(title)}</title><style>{_STYLE}</style></head>\n'
        f"<body>\n{joined}\n</body>\n</html>\n"
    )
    return text.encode()
