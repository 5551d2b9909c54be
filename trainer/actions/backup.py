"""A backup: all of an installation that must not be lost, in one file, taken while it serves."""

from __future__ import annotations

import json
import tempfile
import tomllib
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.actions import ledger
from trainer.actions.opening import unopened
from trainer.errors import TrainerError
from trainer.records import backup_file, key_file
from trainer.records.backup_file import LogThen, Manifest
from trainer.records.log_entry import moment
from trainer.settings import SettingsUnreadable
from trainer.store import copying, upgrade
from trainer.store import ledger as kept_log
from trainer.store.session import Database

if TYPE_CHECKING:
    from datetime import datetime

    from trainer.settings import Settings

# It would lead a restored installation to the database of the one that was copied, and may hold a password.
_STAYS = "database_url"


class NothingToBackUp(TrainerError):
    """There is no database."""

    def __init__(self, where: str) -> None:
        super().__init__(f"There is no database in {where} to back up.")


def backup(
    settings: Settings, target: Path, *, now: datetime, with_signing_key: bool = False
) -> tuple[str, ...]:
    """Write a backup of an installation; people may go on working meanwhile.

    Args:
        settings: the installation.
        target: the file; nothing is there yet.
        now: the time.
        with_signing_key: put the key that signs the log into it. Whoever has both can write another history and sign it.

    Returns:
        A sentence for each thing to know about it.

    Raises:
        NothingToBackUp: there is no database.
        SchemaOutOfStep: a PostgreSQL database has another schema than the program.
        DatabaseOutOfReach: it cannot be opened.
        KeyFileUnusable: a key cannot be read.
        BackupNotWritten: the file is there already, or cannot be written.
    """
    if target.exists():
        raise backup_file.BackupNotWritten(target, "there is a file already; name another")
    with _room_beside(target) as room, unopened(settings) as db:
        folder = Path(room)
        copy = folder / backup_file.DATABASE
        _must_be_there(db)
        copying.copy(db, copy)
        with Database(f"sqlite:///{copy}", keys=settings.keys) as copied:
            schema = upgrade.present(copied) or ""
            log, troubles = _log_then(copied, now=now) if schema == upgrade.newest() else (None, [])
        copying.alone(copy)
        files = {backup_file.DATABASE: copy, **_beside(settings, folder, with_signing_key=with_signing_key)}
        manifest = Manifest(
            made_at=moment(now),
            company=settings.company,
            database=db.engine.dialect.name,
            schema=schema,
            log=log,
            files=backup_file.facts_of(files),
        )
        sha256 = backup_file.write(target, manifest, files)
    return (*_told(target, manifest, sha256), *troubles)


def _room_beside(target: Path) -> tempfile.TemporaryDirectory[str]:
    try:
        return tempfile.TemporaryDirectory(dir=target.parent, prefix=".backup-")
    except OSError as problem:
        why = (problem.strerror or str(problem)).lower()
        raise backup_file.BackupNotWritten(target, why) from problem


def _must_be_there(db: Database) -> None:
    path = db.url.database or ""
    if db.is_sqlite and not Path(path).exists():
        raise NothingToBackUp(path)
    if upgrade.present(db) is None:
        raise NothingToBackUp(path)


def _log_then(copied: Database, *, now: datetime) -> tuple[LogThen, list[str]]:
    """Return where the log of a copy stands, signed in the copy where there is a key."""
    troubles = []
    with copied.writing() as unit:
        note, size = "", kept_log.size(unit)
        if size:
            try:
                ledger.sign_when_possible(unit, copied.keys, now=now)
                note = kept_log.newest_checkpoint(unit) or ""
            except ledger.LogNotGrown as refused:
                troubles.append(str(refused))
        return LogThen(size, kept_log.root(unit, size).hex(), note), troubles


def _beside(settings: Settings, folder: Path, *, with_signing_key: bool) -> dict[str, Path]:
    """Write what goes along with the database; return it by its names."""
    has_key = key_file.exists(settings.keys)
    public = key_file.verifiers(settings.keys) if has_key else ()
    texts = {backup_file.PUBLIC_KEYS: "".join(f"{key}\n" for key in public).encode()}
    if (written := _settings_to_carry(settings.instance / "settings.toml")) is not None:
        texts[backup_file.SETTINGS] = written.encode()
    if with_signing_key:
        texts[backup_file.SIGNING_KEY] = key_file.text_in_use(settings.keys)
    for name, data in texts.items():
        (folder / name).write_bytes(data)
    return {name: folder / name for name in texts}


def _settings_to_carry(path: Path) -> str | None:
    if not path.is_file():
        return None
    try:
        values = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError) as problem:
        raise SettingsUnreadable(path, str(problem).rstrip(".")) from problem
    return "".join(f"{name} = {_as_toml(value)}\n" for name, value in values.items() if name != _STAYS)


def _as_toml(value: object) -> str:
    # Settings are texts, whole numbers, true and false: JSON writes them as TOML does, but for one character.
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


def _told(target: Path, manifest: Manifest, sha256: str) -> list[str]:
    log = manifest.log
    if log is None:
        stands = (
            f"schema {manifest.schema}, older than this program's; restoring brings it to the present one"
        )
    elif log.checkpoint:
        stands = f"{log.entries} log entries under a signed checkpoint"
    else:
        stands = f"{log.entries} log entries without a signed checkpoint"
    told = [f"Wrote {target}: {stands}.", f"SHA-256 of its contents: {sha256}"]
    if backup_file.SIGNING_KEY in manifest.files:
        told.append(
            "The key that signs the log is in it: whoever has this file can write another history and sign it."
        )
    else:
        told.append(
            "The key that signs the log is not in it; keep a copy of that elsewhere, under lock and key."
        )
    return told
