"""Serving with the settings that were measured to hold."""

from __future__ import annotations

import gc
from typing import TYPE_CHECKING, Any

import pytest

from tests import databases
from trainer.actions import upkeep
from trainer.cli.figures.starting import run
from trainer.settings import Settings
from trainer.web import serving

if TYPE_CHECKING:
    from pathlib import Path


def test_the_server_gets_four_threads_and_large_sends_and_a_frozen_heap(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings = Settings(instance=tmp_path, company=databases.COMPANY)
    upkeep.upgrade(settings)
    got: dict[str, Any] = {}

    def served(app: Any, **options: Any) -> None:
        got.update(options, app=app, frozen=gc.get_freeze_count())

    monkeypatch.setattr("waitress.serve", served)
    # What loading froze already must not pass for what serving freezes.
    gc.unfreeze()
    try:
        serving.serve(settings, "127.0.0.1", 8451)
    finally:
        gc.unfreeze()
    assert (got["host"], got["port"]) == ("127.0.0.1", 8451)
    assert (got["threads"], got["send_bytes"]) == (4, 1_048_576)
    assert got["frozen"] > 0
    got["app"].extensions["trainer"].db.close()


@pytest.mark.parametrize(("before", "collects"), [("enable", True), ("disable", False)])
def test_loading_freezes_what_it_loaded_and_leaves_the_collector_as_it_was(
    before: str, *, collects: bool
) -> None:
    told = run(
        f"import gc; gc.{before}(); import trainer.web; print(gc.isenabled(), gc.get_freeze_count() > 0)"
    )
    assert told.split() == [str(collects), "True"]
