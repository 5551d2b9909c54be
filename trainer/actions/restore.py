"""Bringing an installation back from a backup; what it replaces stays beside it."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.actions import journal, ledger
from trainer.actions.actor import SYSTEM
from trainer.actions.opening import unopened
from trainer.actions.rebuild import carried
from trainer.errors import TrainerError
from trainer.records import backup_file, key_file, merkle, signed_note
from trainer.records.backup_file import BackupUnreadable
from trainer.records.signed_note import Verifier
from trainer.records.signing_key import KeyUnusable
from trainer.store import copying, sign_ins, upgrade
from trainer.store import ledger as kept_log
from trainer.store.session import Database, DatabaseOutOfReach

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from trainer.records.backup_file import Manifest
    from trainer.settings import Settings
    from trainer.store.session import Unit


class SomethingHere(TrainerError):
    """There is an installation already, and nobody said that it may be replaced."""

    def __init__(self, what: str) -> None:
        super().__init__(f"{what} Nothing was changed; `--replace` puts what is here aside and restores.")


class LogsDiffer(TrainerError):
    """The log in the backup is not the one whose standing is known here."""

    def __init__(self, size: int) -> None:
        super().__init__(
            f"The log in the file and the log here do not share the {size} entries that both have, so one of them was "
            "changed or they belong to two installations. Nothing was changed; to look at the file all the same, restore "
            "it into an instance folder of its own."
        )


class LogBroken(TrainerError):
    """The log in the backup does not fit together."""

    def __init__(self, path: Path, what: str) -> None:
        super().__init__(f"{path} was not restored, because its log does not fit together: {what}")


@dataclass(frozen=True)
class _Here:
    """What stands where the backup goes: how many entries, `lost` of them not in the backup; unreadable with None."""

    entries: int | None
    lost: int = 0

    @property
    def told(self) -> str:
        if self.entries is None:
            return "There is a database here that is damaged or of another schema, so nothing can be held against it."
        gone = f", and the last {self.lost} of them are not in the backup" if self.lost else ""
        return f"There is a database here with {self.entries} log entries{gone}."


def restore(
    settings: Settings,
    source: Path,
    *,
    now: datetime,
    replace: bool = False,
    seen: Callable[[int], None] | None = None,
) -> tuple[str, ...]:
    """Bring an installation back from a backup, made of SQLite or of PostgreSQL, into either.

    The file is checked first, then its whole log, then the log against the standing that is known here.

    Args:
        settings: the installation.
        source: the backup.
        now: the time.
        replace: an installation with entries may be put aside.
        seen: is told how many entries of the log are checked, now and then.

    Returns:
        A sentence for each thing done or to be known.

    Raises:
        BackupUnreadable, CopyBroken: it is no backup, not whole, or damaged.
        SchemaUnknown: a newer program made it.
        LogBroken: its log does not fit together.
        LogsDiffer: it is not the log that is known here.
        SomethingHere: there are entries, and `replace` is not set.
        DatabaseInUse, NotPutAside: what is here cannot be put aside.
    """
    with unopened(settings) as db, _room(settings, db) as room:
        folder = Path(room)
        manifest, files, sha256 = backup_file.taken_out(source, folder)
        public = _public(source, files[backup_file.PUBLIC_KEYS])
        copying.must_be_whole(files[backup_file.DATABASE])
        told = [f"{source} is whole: made {manifest.made_at}, {manifest.company}."]
        with Database(f"sqlite:///{files[backup_file.DATABASE]}") as copied:
            told += upgrade.to_newest(copied)
            known = key_file.verifiers(settings.keys) if key_file.exists(settings.keys) else ()
            entries = _checked(source, copied, manifest, public + known, seen)
            told.append(f"Its log fits together: {entries} entries.")
            here = _here(db, copied)
            if here is not None:
                told.append(here.told)
                if here.entries != 0 and not replace:
                    raise SomethingHere(here.told)
            payload = {
                "backup": sha256,
                "made_at": manifest.made_at,
                "entries": entries,
                "replaced_entries": here and here.entries,
            }
            if not db.is_sqlite:
                told += _into_postgresql(db, copied, payload, now)
            else:
                with copied.writing() as unit:
                    _note(unit, payload, now)
        db.close()
        if db.is_sqlite:
            told += _into_file(Path(db.url.database or ""), files[backup_file.DATABASE], now)
        return (*told, *_keys(settings, public, files, now), *_settings(settings, files))


def _room(settings: Settings, db: Database) -> tempfile.TemporaryDirectory[str]:
    # Beside the database, so that the new one takes its place by a new name alone.
    folder = Path(db.url.database or "").resolve().parent if db.is_sqlite else settings.instance
    try:
        for made in (folder, settings.instance):
            made.mkdir(parents=True, exist_ok=True)
        return tempfile.TemporaryDirectory(dir=folder, prefix=".restore-")
    except OSError as problem:
        raise copying.NotPutAside(f"{folder}: {(problem.strerror or str(problem)).lower()}") from problem


def _public(source: Path, path: Path) -> tuple[Verifier, ...]:
    try:
        return tuple(Verifier.read(line) for line in path.read_text(encoding="utf-8").split())
    except (KeyUnusable, UnicodeDecodeError) as problem:
        raise BackupUnreadable(source, "its public keys cannot be read") from problem


def _checked(
    source: Path,
    copied: Database,
    manifest: Manifest,
    public: tuple[Verifier, ...],
    seen: Callable[[int], None] | None,
) -> int:
    """Return how many entries the log in a backup has, once all of it fits together."""
    with copied.reading() as unit:
        found = ledger.gone_through(unit, public, seen=seen)
        newest = kept_log.newest_checkpoint(unit) or ""
    if found.troubles:
        more = f" (and {len(found.troubles) - 1} more)" if len(found.troubles) > 1 else ""
        raise LogBroken(source, f"{found.troubles[0].text}{more}")
    then = manifest.log
    if then is not None and (then.entries, then.root) != (found.size, found.root.hex()):
        raise LogBroken(source, "It is not the log of the manifest.")
    if then is not None and then.checkpoint and then.checkpoint != newest:
        raise LogBroken(source, "The newest checkpoint is not the one of the manifest.")
    return found.size


def _here(db: Database, copied: Database) -> _Here | None:
    """Return what stands here, held against the log of the backup; None where nothing is.

    Raises:
        LogsDiffer: the two are not one log at two times.
    """
    path = Path(db.url.database or "")
    if db.is_sqlite and not path.exists():
        return None
    try:
        found = upgrade.present(db)
        if found is None:
            return None
        if found != upgrade.newest():
            return _Here(None)
        with db.reading() as ours, copied.reading() as theirs:
            return _compared(ours, theirs)
    except DatabaseOutOfReach:
        if not db.is_sqlite:
            raise
        return _Here(None)
    except copying.UNREADABLE:
        return _Here(None)


def _compared(ours: Unit, theirs: Unit) -> _Here:
    here, there = kept_log.size(ours), kept_log.size(theirs)
    note = kept_log.newest_checkpoint(ours)
    known, root = here, kept_log.root(ours, here)
    if note is not None:
        signed = signed_note.checkpoint_in(signed_note.text_of(note))
        known, root = signed.size, signed.root
    if there >= known:
        agree = not known or kept_log.root(theirs, known) == root
    else:
        path = merkle.consistency_path(there, known, kept_log.tree(ours)) if there else ()
        agree = not there or merkle.has_grown(there, known, kept_log.root(theirs, there), root, path)
    if not agree:
        raise LogsDiffer(min(known, there))
    return _Here(here, here - _shared(ours, theirs, min(here, there)))


def _shared(ours: Unit, theirs: Unit, both: int) -> int:
    """Return how many entries two logs begin with in common, found by halving: equal roots are equal beginnings."""
    least, most = 0, both
    while least < most:
        middle = (least + most + 1) // 2
        if kept_log.root(ours, middle) == kept_log.root(theirs, middle):
            least = middle
        else:
            most = middle - 1
    return least


def _note(unit: Unit, payload: dict[str, object], now: datetime) -> None:
    """Say in the log that it was restored; whoever was signed in then signs in again."""
    ended = sign_ins.end_every(unit, now)
    journal.note(unit, SYSTEM, "instance:restore", at=now, sessions_ended=ended, **payload)
    # A backup of an earlier program's log goes on as an upgraded one does.
    if carried.is_short(unit):
        carried.write(unit, now=now)


def _into_file(target: Path, copy: Path, now: datetime) -> list[str]:
    copying.alone(copy)
    aside = copying.put_file_aside(target, _stamp(now))
    copying.put_in_place(copy, target)
    return [*([f"What was here is now {aside}."] if aside else []), f"Restored into {target}."]


def _into_postgresql(db: Database, copied: Database, payload: dict[str, object], now: datetime) -> list[str]:
    with db.writing() as unit:
        aside = copying.put_schema_aside(unit, _stamp(now))
        upgrade.bring_to_newest(unit)
        with copied.reading() as source:
            copying.fill(unit, source)
        _note(unit, payload, now)
    kept = [f"What was here is now the schema {aside} of the same database."] if aside else []
    return [*kept, "Restored into the PostgreSQL database."]


def _keys(
    settings: Settings, public: tuple[Verifier, ...], files: dict[str, Path], now: datetime
) -> list[str]:
    brought = files.get(backup_file.SIGNING_KEY)
    text = brought.read_bytes() if brought else b""
    key_file.take_over(settings.keys, public, text, aside=f"replaced-{_stamp(now)}")
    if key_file.exists(settings.keys):
        return []
    made = key_file.make(settings.keys, public[0].name if public else settings.log_name)
    return [
        f"The key that signed is not in the backup, so a new one was made in {settings.keys}; what the old one signed can "
        "still be checked.",
        f"Hand this line to whoever checks: {made.verifier}",
    ]


def _settings(settings: Settings, files: dict[str, Path]) -> list[str]:
    brought = files.get(backup_file.SETTINGS)
    if brought is None:
        return []
    path = settings.instance / "settings.toml"
    if not path.exists():
        path.write_bytes(brought.read_bytes())
        return [f"Wrote {path}."]
    beside = settings.instance / "settings-from-backup.toml"
    beside.write_bytes(brought.read_bytes())
    return [f"{path} stays as it is; the settings of the backup are in {beside}."]


def _stamp(now: datetime) -> str:
    return now.strftime("%Y%m%dT%H%M%SZ")
