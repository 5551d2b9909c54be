"""Checking a packet on its own, as whoever receives one does it: Python and `cryptography`, no database, no network.

A packet carries this file and what it needs (see `CARRIED`), so that it can be checked by somebody who has nothing of ours.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.errors import TrainerError
from trainer.records import packet, packet_file
from trainer.records.signed_note import Verifier

if TYPE_CHECKING:
    from collections.abc import Sequence

KEYS = "keys.txt"
CARRIED = (
    "base58",
    "canonical",
    "credential",
    "data_integrity",
    "merkle",
    "packet",
    "packet_file",
    "proof",
    "signed_note",
    "signing_key",
    "verify_packet",
)


def main(arguments: Sequence[str]) -> int:
    """Check a packet and print what was found; return 0 when it holds, 1 when not, 2 when it cannot be read."""
    parser = argparse.ArgumentParser(
        prog="verify.py", description="Check a packet of evidence: every file, every record, every proof."
    )
    parser.add_argument("packet", help="the ZIP file, or the folder it was unpacked to")
    parser.add_argument(
        "--key",
        action="append",
        default=[],
        help="line of a key that you got from its owner by another way; those in the packet unless given",
    )
    given = parser.parse_args(arguments)
    try:
        files = _files(Path(given.packet))
        lines = given.key or files.get(KEYS, b"").decode().split()
        trusted = [Verifier.read(line) for line in lines]
        found = packet.faults(files, trusted)
    except (TrainerError, OSError, UnicodeDecodeError) as problem:
        print(problem, file=sys.stderr)  # noqa: T201  # there is nothing but Python where this runs
        return 2
    for fault in found:
        print(fault)  # noqa: T201
    if not found:
        print(f"{len(files)} files hold: nothing was changed, added or taken out.")  # noqa: T201
    if not given.key:
        print("The key came with the packet. Ask its owner for it and give it with --key:")  # noqa: T201
        for verifier in trusted:
            print(f"  {verifier}")  # noqa: T201
    return 1 if found else 0


def _files(path: Path) -> dict[str, bytes]:
    if path.is_dir():
        # What Python leaves behind when this runs from the folder itself is no part of the packet.
        found = [f for f in sorted(path.rglob("*")) if f.is_file() and "__pycache__" not in f.parts]
        return {file.relative_to(path).as_posix(): file.read_bytes() for file in found}
    return packet_file.read(path.read_bytes())
