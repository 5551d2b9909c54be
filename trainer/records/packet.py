"""A packet of evidence: files by their paths, bound together by signed contents, checked with nothing but the files.

`contents.json` lists every other file with its SHA-256, and `contents.signed` is a signed note over the hash of that list.
What a file has to hold besides follows from its folder:

- `records/`: a qualification record in canonical JSON, word for word as the log's entry has it;
- `credentials/`: the same as a portable credential, signed by the key of the log;
- `log/`: entries of the log, each with the proof that it stands under a signed checkpoint;
- `growth/`: proofs that the log under an older checkpoint is the beginning of that under the newest;
- `answers/`: a question as it was asked, the answer and its mark, as the log's entry has them, and the pictures it showed;
- `earlier/`: what was transcribed from an earlier paper, word for word as the log's entry has it;
- `observations/`: what was seen at the bench, word for word as the log's entry has it;
- `photographs/`: named by their hash, which stands in an observation that an entry of the log holds;
- `policies/`: numbers that decided, whose hash is their name and stands in an entry of the log;
- `revisions/`: a procedure in canonical form, whose hash is the name of the revision.

Everything else (papers, drawings, an index to read) is held to its hash alone.
"""

from __future__ import annotations

import hashlib
from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from trainer.errors import TrainerError
from trainer.records import canonical, credential, merkle, signed_note
from trainer.records.proof import EntryProof

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    from trainer.records.key_file import LogKey
    from trainer.records.signed_note import Checkpoint, Verifier

CONTENTS, SIGNED = "contents.json", "contents.signed"
_FORM = 1


class PacketUnreadable(TrainerError):
    """A file is no packet of evidence."""

    def __init__(self, why: str) -> None:
        super().__init__(f"This is no packet of evidence: {why}.")


@dataclass(frozen=True)
class Fault:
    """What does not hold, at which file."""

    path: str
    text: str

    def __str__(self) -> str:
        """Return file and sentence."""
        return f"{self.path}: {self.text}"


@dataclass(frozen=True)
class Growth:
    """A proof that the newer of two signed checkpoints begins with the older one."""

    older: str
    newer: str
    path: tuple[bytes, ...]

    def as_data(self) -> dict[str, Any]:
        """Return the proof as plain JSON values."""
        return {"older": self.older, "newer": self.newer, "path": [node.hex() for node in self.path]}


def bound(files: Mapping[str, bytes], about: str, key: LogKey) -> dict[str, bytes]:
    """Return the files with their signed contents.

    Args:
        files: by path, with `/` between folders.
        about: what the packet is about, in words.
        key: signs the contents.
    """
    listed = [
        {"path": path, "bytes": len(data), "sha256": _sha256(data)} for path, data in sorted(files.items())
    ]
    contents = canonical.written(
        {"packet": "evidence", "form": _FORM, "about": about, "files": listed}
    ).encode()
    note = signed_note.signed(_note_text(key.name, contents), key.name, key.key)
    return {**files, CONTENTS: contents, SIGNED: note.encode()}


def faults(files: Mapping[str, bytes], trusted: Sequence[Verifier]) -> tuple[Fault, ...]:
    """Return everything that does not hold; nothing when every file is what was signed and proven.

    Args:
        files: the whole packet by path.
        trusted: the keys that may sign.

    Raises:
        PacketUnreadable: it has no contents, or they cannot be read.
    """
    contents = _contents(files)
    log = _log(files)
    records = {_sha256(canonical.written(p["record"]).encode()) for p in log.values() if "record" in p}
    return (
        *_signature(files, trusted),
        *_hashes(files, contents),
        *_each(files, "log/", lambda path, data: _proven(path, data, trusted)),
        *_each(files, "growth/", lambda path, data: _grown(path, data, trusted)),
        *_each(files, "records/", lambda path, data: _recorded(path, data, records)),
        *_each(files, "earlier/", lambda path, data: _recorded(path, data, records)),
        *_each(files, "observations/", lambda path, data: _recorded(path, data, records)),
        *_photographs(files, log),
        *_each(files, "policies/", lambda path, data: _policy(path, data, log)),
        *_each(files, "credentials/", lambda path, data: _credible(path, data, trusted, files)),
        *_each(files, "answers/", lambda path, data: _answered(path, data, log, files)),
        *_each(files, "revisions/", _revision),
    )


def _note_text(name: str, contents: bytes) -> str:
    return f"{name} evidence\n{_sha256(contents)}\n"


def _contents(files: Mapping[str, bytes]) -> list[dict[str, Any]]:
    if CONTENTS not in files or SIGNED not in files:
        raise PacketUnreadable(f"it lacks {CONTENTS} or {SIGNED}")
    try:
        read = canonical.read(files[CONTENTS].decode())
    except (UnicodeDecodeError, canonical.NotCanonical) as problem:
        raise PacketUnreadable(f"{CONTENTS} cannot be read") from problem
    listed = read.get("files") if isinstance(read, dict) else None
    if not isinstance(listed, list) or (read.get("packet"), read.get("form")) != ("evidence", _FORM):
        raise PacketUnreadable(f"{CONTENTS} is of another form")
    if not all(isinstance(entry, dict) and {"path", "sha256"} <= set(entry) for entry in listed):
        raise PacketUnreadable(f"{CONTENTS} lists something that is no file")
    return listed


def _signature(files: Mapping[str, bytes], trusted: Sequence[Verifier]) -> Iterator[Fault]:
    note = files[SIGNED].decode(errors="replace")
    try:
        texts = [(verifier, signed_note.checked(note, verifier)) for verifier in trusted]
    except signed_note.NoteUnreadable:
        yield Fault(SIGNED, "It is no signed note.")
        return
    wanted = [text == _note_text(verifier.name, files[CONTENTS]) for verifier, text in texts]
    if not any(wanted):
        yield Fault(SIGNED, "The contents are not signed by a key that is trusted here.")


def _hashes(files: Mapping[str, bytes], contents: list[dict[str, Any]]) -> Iterator[Fault]:
    listed = {str(entry["path"]): entry["sha256"] for entry in contents}
    for path, digest in listed.items():
        if path not in files:
            yield Fault(path, "The file is missing.")
        elif _sha256(files[path]) != digest:
            yield Fault(path, "The file was changed after the packet was made.")
    for path in files:
        if path not in listed and path not in (CONTENTS, SIGNED):
            yield Fault(path, "The contents do not list this file.")


def _each(
    files: Mapping[str, bytes], folder: str, check: Callable[[str, Any], Iterator[Fault]]
) -> Iterator[Fault]:
    for path, data in sorted(files.items()):
        if path.startswith(folder) and path.endswith(".json"):
            try:
                yield from check(path, canonical.read(data.decode()))
            except UnicodeDecodeError:
                yield Fault(path, "It is no text.")
            except TrainerError as problem:
                yield Fault(path, str(problem))


def _proven(path: str, data: Any, trusted: Sequence[Verifier]) -> Iterator[Fault]:
    proof = EntryProof.read(data)
    found = [proof.faults(verifier) for verifier in trusted]
    if () not in found:
        for text in dict.fromkeys(text for texts in found for text in texts):
            yield Fault(path, text)
    if path != f"log/{proof.number}.json":
        yield Fault(path, f"It proves entry {proof.number}, which belongs into another file.")


def _grown(path: str, data: Any, trusted: Sequence[Verifier]) -> Iterator[Fault]:
    try:
        older, newer = (_checkpoint(str(data[name]), trusted) for name in ("older", "newer"))
        nodes = [bytes.fromhex(node) for node in data["path"]]
    except (KeyError, TypeError, ValueError):
        yield Fault(path, "It is no proof that the log has grown.")
        return
    if older is None or newer is None:
        yield Fault(path, "A checkpoint in it is not signed by a key that is trusted here.")
    elif not merkle.has_grown(older.size, newer.size, older.root, newer.root, nodes):
        yield Fault(path, f"The log of {newer.size} entries does not begin with that of {older.size}.")


def _checkpoint(note: str, trusted: Sequence[Verifier]) -> Checkpoint | None:
    for verifier in trusted:
        text = signed_note.checked(note, verifier)
        if text is not None:
            return signed_note.checkpoint_in(text)
    return None


def _log(files: Mapping[str, bytes]) -> dict[int, dict[str, Any]]:
    """Return the payloads of the log's entries in the packet by their numbers; what cannot be read is left out."""
    found = {}
    for path, data in files.items():
        if not path.startswith("log/"):
            continue
        with suppress(UnicodeDecodeError, TrainerError):
            entry = canonical.read(EntryProof.read(canonical.read(data.decode())).entry)
            number, payload = (
                entry.get(k) if isinstance(entry, dict) else None for k in ("number", "payload")
            )
            if isinstance(number, int) and isinstance(payload, dict):
                found[number] = payload
    return found


def _recorded(path: str, data: Any, records: set[str]) -> Iterator[Fault]:
    if _sha256(canonical.written(data).encode()) not in records:
        yield Fault(path, "No entry of the log in this packet holds this record as it stands here.")


def _credible(
    path: str, data: Any, trusted: Sequence[Verifier], files: Mapping[str, bytes]
) -> Iterator[Fault]:
    # One that has run out since is evidence all the same.
    for text in credential.forged(data, trusted):
        yield Fault(path, text)
    record = files.get(f"records/{path.removeprefix('credentials/')}")
    if record is None or _sha256(record) != credential.record_hash(data):
        yield Fault(path, "It speaks of another record than the one beside it.")


def _photographs(files: Mapping[str, bytes], log: Mapping[int, dict[str, Any]]) -> Iterator[Fault]:
    """Yield what is wrong with photographs: each has the hash that it is named after, and an observation in the log names it."""
    named = {name for payload in log.values() for name in _photographs_of(payload.get("record"))}
    for path, data in sorted(files.items()):
        if not path.startswith("photographs/"):
            continue
        name = path.removeprefix("photographs/").partition(".")[0]
        if _sha256(data) != name:
            yield Fault(path, "The photograph is not the one that the file is named after.")
        if name not in named:
            yield Fault(path, "No observation in the log of this packet names this photograph.")


def _photographs_of(record: Any) -> set[str]:
    listed = record.get("photographs") if isinstance(record, dict) else None
    found = listed if isinstance(listed, list) else []
    return {str(one.get("sha256")) for one in found if isinstance(one, dict)}


def _policy(path: str, data: Any, log: Mapping[int, dict[str, Any]]) -> Iterator[Fault]:
    name = path.removeprefix("policies/").removesuffix(".json")
    if _sha256(canonical.written(data).encode()) != name:
        yield Fault(path, "The numbers are not those that the file is named after.")
    if not any(payload.get("policy") == name and payload.get("numbers") == data for payload in log.values()):
        yield Fault(path, "No entry of the log in this packet holds these numbers.")


def _answered(
    path: str, data: Any, log: Mapping[int, dict[str, Any]], files: Mapping[str, bytes]
) -> Iterator[Fault]:
    if not isinstance(data, dict) or not {"entry", "question", "answer", "mark"} <= set(data):
        yield Fault(path, "It is no answered question.")
        return
    pictures = data.get("pictures", {})
    for picture in pictures.values() if isinstance(pictures, dict) else ():
        if picture not in files:
            yield Fault(path, f"The picture {picture} is not in this packet.")
    payload = log.get(data["entry"]) if isinstance(data["entry"], int) else None
    if payload is None:
        yield Fault(path, f"Entry {data['entry']} of the log is not in this packet.")
        return
    mark = _sha256(canonical.written(data["mark"]).encode())
    if payload.get("answer") != data["answer"] or payload.get("mark_sha256") != mark:
        yield Fault(path, "Answer or mark are not those that the log holds.")
    if payload.get("question") != data["question"]:
        yield Fault(path, "The question is not the one that the log holds.")


def _revision(path: str, data: Any) -> Iterator[Fault]:
    name = path.removeprefix("revisions/").removesuffix(".json")
    if _sha256(canonical.written(data).encode()) != name:
        yield Fault(path, "The procedure is not the revision that the file is named after.")


def _sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
