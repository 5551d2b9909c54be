"""The plainest site on the same libraries, as a floor: a page of 30 kB, and a form that keeps one row.

It has no sign-in, no templates but one and no log; what a page of ours takes beyond it is ours to answer for.
"""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from flask import Flask, render_template_string, request
from sqlalchemy import Column, Integer, MetaData, String, Table, create_engine, event, insert

if TYPE_CHECKING:
    from typing import Any

    from sqlalchemy import Connection

ROWS, CELLS = 60, 12
"""So many rows of so many cells make 30 kB."""

_PAGE = """<!doctype html><html lang="en"><head><title>{{ title }}</title></head><body><h1>{{ title }}</h1>
<table>{% for row in rows %}<tr>{% for cell in row %}<td class="ruled">{{ cell.name }} {{ cell.day }}</td>{% endfor %}</tr>
{% endfor %}</table></body></html>"""


def site(database: str = "") -> Flask:
    """Return the application.

    Args:
        database: path of a SQLite file for the form; without one there is the page alone.
    """
    app = Flask(__name__)
    rows = [[{"name": f"Name {r}", "day": f"2027-{c:02d}"} for c in range(CELLS)] for r in range(ROWS)]

    @app.get("/page")
    def page() -> str:
        return render_template_string(_PAGE, title="A page", rows=rows)

    if database:
        _keep_rows(app, database)
    return app


def _keep_rows(app: Flask, database: str) -> None:
    engine = create_engine(f"sqlite:///{database}", connect_args={"timeout": 30, "isolation_level": None})
    answers = Table("answers", MetaData(), Column("id", Integer, primary_key=True), Column("text", String))

    @event.listens_for(engine, "connect")
    def prepare(connection: Any, _: Any) -> None:
        connection.execute("PRAGMA journal_mode=WAL")
        connection.execute("PRAGMA synchronous=FULL")

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        connection.exec_driver_sql("BEGIN IMMEDIATE")

    answers.metadata.create_all(engine)
    add = insert(answers)

    @app.post("/answer")
    def answer() -> tuple[str, int]:
        with engine.begin() as unit:
            unit.execute(add, {"text": request.form["text"]})
        return "kept", 200


if __name__ == "__main__":
    import waitress

    waitress.serve(
        site(sys.argv[1]), host="127.0.0.1", port=int(sys.argv[2]), threads=4, send_bytes=1 << 20, ident=None
    )
