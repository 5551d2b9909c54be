"""Serving with the settings that were measured to hold."""

from __future__ import annotations

import gc
from typing import TYPE_CHECKING, Any

from tests import databases
from trainer.actions import upkeep
from trainer.settings import Settings
from trainer.web import serving

if TYPE_CHECKING:
    from pathlib import Path

    import pytest


def test_the_server_gets_four_threads_and_large_sends_and_a_frozen_heap(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings = Settings(instance=tmp_path, company=databases.COMPANY)
    upkeep.upgrade(settings)
    got: dict[str, Any] = {}

    def served(app: Any, **options: Any) -> None:
        got.update(options, app=app, frozen=gc.get_freeze_count())

    monkeypatch.setattr("waitress.serve", served)
    try:
        serving.serve(settings, "127.0.0.1", 8451)
    finally:
        gc.unfreeze()
    assert (got["host"], got["port"]) == ("127.0.0.1", 8451)
    assert (got["threads"], got["send_bytes"]) == (4, 1_048_576)
    assert got["frozen"] > 0
    got["app"].extensions["trainer"].db.close()
