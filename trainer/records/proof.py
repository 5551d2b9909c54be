"""One entry of a log with the proof that it stands there under a signed checkpoint: made here, checked anywhere.

As data: `entry` is the text that was hashed, `number` its place from 1, `path` the hashes up to the root (hexadecimal,
lowest first), `checkpoint` the signed note over the root.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from trainer.errors import TrainerError
from trainer.records import canonical, merkle, signed_note

if TYPE_CHECKING:
    from trainer.records.signed_note import Verifier

FORM = "log-entry"


class ProofUnreadable(TrainerError):
    """A file is no proof of an entry."""

    def __init__(self, why: str) -> None:
        super().__init__(f"This is no proof of a log entry: {why}.")


@dataclass(frozen=True)
class EntryProof:
    """An entry, its place, the hashes beside its way to the root, and the checkpoint over the root."""

    number: int
    entry: str
    path: tuple[bytes, ...]
    checkpoint: str

    def as_data(self) -> dict[str, Any]:
        """Return the proof as plain JSON values."""
        return {
            "proof": FORM,
            "form": 1,
            "number": self.number,
            "entry": self.entry,
            "path": [node.hex() for node in self.path],
            "checkpoint": self.checkpoint,
        }

    @staticmethod
    def read(data: Any) -> EntryProof:
        """Return the proof that plain values hold.

        Raises:
            ProofUnreadable: they are of another shape.
        """
        if not isinstance(data, dict) or (data.get("proof"), data.get("form")) != (FORM, 1):
            raise ProofUnreadable(f"it does not say that it is a '{FORM}' of form 1")
        number, entry, path, checkpoint = (data.get(k) for k in ("number", "entry", "path", "checkpoint"))
        texts = isinstance(entry, str) and isinstance(checkpoint, str)
        if not texts or isinstance(number, bool) or not isinstance(number, int):
            raise ProofUnreadable("number, entry or checkpoint is missing")
        if not isinstance(path, list) or not all(isinstance(node, str) for node in path):
            raise ProofUnreadable("its path is no list of hashes")
        try:
            nodes = tuple(bytes.fromhex(node) for node in path)
        except ValueError as problem:
            raise ProofUnreadable("its path holds something that is no hash") from problem
        return EntryProof(number, str(entry), nodes, str(checkpoint))

    def faults(self, verifier: Verifier) -> tuple[str, ...]:
        """Return a sentence for each thing that does not hold; nothing when the entry is proven.

        Raises:
            NoteUnreadable: the checkpoint is none.
        """
        text = signed_note.checked(self.checkpoint, verifier)
        if text is None:
            return (f"The checkpoint is not signed by {verifier.name}.",)
        checkpoint = signed_note.checkpoint_in(text)
        leaf = merkle.leaf_hash(self.entry.encode())
        if not merkle.is_included(self.number - 1, checkpoint.size, leaf, self.path, checkpoint.root):
            return (f"This is not entry {self.number} of the log that the checkpoint signs.",)
        told = canonical.read(self.entry)
        if not isinstance(told, dict) or told.get("number") != self.number:
            return (f"The entry calls itself {told.get('number')}, not {self.number}.",)
        return ()
