"""The page of the drawing language as one file that stands alone."""

from __future__ import annotations

from html import escape

from trainer.drawing.examples import GROUPS
from trainer.exports.drawing_file import SHEET, style_sheet

_OWN = """
body { margin: 24px; max-width: 1080px; background: var(--paper); color: var(--ink);
  font-family: "Barlow Semi Condensed", "DejaVu Sans Condensed", sans-serif; }
section { border-top: 1px solid var(--ink); padding: 12px 0 16px; }
h3, p, figure { margin: 0; }
pre { overflow-x: auto; border-left: 2px solid var(--ink); padding: 8px 10px; font-size: 13px; }
.pictures { display: flex; flex-wrap: wrap; gap: 12px 24px; align-items: flex-end; }
"""


def drawing_page() -> str:
    """Return the page: every construct as it is written and as it is drawn."""
    body = []
    for group, (title, examples) in enumerate(GROUPS):
        body.append(f"<h2>{escape(title)}</h2>")
        for number, one in enumerate(examples):
            figures = "".join(
                f"<figure>{svg}<figcaption>{escape(said)}</figcaption></figure>"
                for svg, said in one.drawn(f"l{group}-{number}-")
            )
            body.append(
                f"<section>\n<h3>{escape(one.title)}</h3>\n<p>{escape(one.words)}</p>\n"
                f'<pre>{escape(one.written)}</pre>\n<div class="pictures">{figures}</div>\n</section>'
            )
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>The drawing language</title>\n<style>{SHEET}{style_sheet()}{_OWN}</style>\n"
        "</head>\n<body>\n<h1>How a machine is drawn from its file</h1>\n"
        + "\n".join(body)
        + "\n</body>\n</html>\n"
    )
