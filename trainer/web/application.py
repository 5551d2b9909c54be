"""Building the application: rooms, guard, headers, errors, templates, static files."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from flask import Flask, Response, abort, request

from trainer.actions.opening import open_database
from trainer.web import assets, errors, guard, rendering, security
from trainer.web.account.provider_routes import room as provider
from trainer.web.account.routes import room as account
from trainer.web.analysis.routes import room as analysis
from trainer.web.bench.routes import room as bench
from trainer.web.context import Site
from trainer.web.cover.plan_routes import room as plan
from trainer.web.cover.routes import room as cover
from trainer.web.evidence.routes import room as evidence
from trainer.web.keeper.file_routes import room as from_file
from trainer.web.keeper.routes import room as keeper
from trainer.web.keeping.routes import room as keeping
from trainer.web.life.confirm_routes import room as confirm
from trainer.web.life.routes import room as life
from trainer.web.mentor.routes import room as mentor
from trainer.web.modules.publish_routes import room as publish
from trainer.web.modules.routes import room as modules
from trainer.web.policy.routes import room as policy
from trainer.web.practise.routes import room as practise
from trainer.web.sitting.routes import room as sitting
from trainer.web.supervisor.earlier_routes import room as papers
from trainer.web.supervisor.routes import room as supervisor
from trainer.web.tasks.routes import room as tasks

if TYPE_CHECKING:
    from collections.abc import Callable

    from trainer.actions.opening import Database
    from trainer.settings import Settings

ROOMS = (
    account,
    provider,
    practise,
    modules,
    publish,
    analysis,
    mentor,
    bench,
    sitting,
    supervisor,
    keeping,
    life,
    confirm,
    papers,
    cover,
    plan,
    evidence,
    keeper,
    from_file,
    policy,
    tasks,
)
_A_YEAR = "public, max-age=31536000, immutable"


def utc_now() -> datetime:
    """Return the time."""
    return datetime.now(UTC)


def create_app(
    settings: Settings, *, db: Database | None = None, clock: Callable[[], datetime] = utc_now
) -> Flask:
    """Return the application, ready to answer.

    Args:
        settings: of this installation.
        db: an open database; the installation's own is opened unless given.
        clock: gives the time, aware and in UTC.
    """
    app = Flask("trainer.web", static_folder=None, template_folder="templates")
    app.config.update(security.configuration(settings))
    files = assets.load()
    app.extensions["trainer"] = Site(db or open_database(settings), settings, files, clock)
    rendering.install(app, files)
    security.install(app, settings)
    guard.install(app)
    errors.install(app)
    for room in ROOMS:
        app.register_blueprint(room)
    _serve_files(app, files)
    return app


def _serve_files(app: Flask, files: assets.Assets) -> None:
    @app.get("/static/<digest>/<path:path>")
    @guard.open_to_all("style sheets, scripts and fonts hold nothing of anybody")
    def static_file(digest: str, path: str) -> Response:
        asset = files.files.get(path)
        if asset is None or digest != files.digest:
            abort(404)
        packed = asset.packed and request.accept_encodings["gzip"] > 0
        response = Response(asset.packed if packed else asset.data, content_type=asset.media_type)
        response.headers["Cache-Control"] = _A_YEAR
        response.headers["Vary"] = "Accept-Encoding"
        if packed:
            response.headers["Content-Encoding"] = "gzip"
        return response
