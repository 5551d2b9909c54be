"""The checker that a packet carries: a launcher, the files of `trainer.records` that it needs, and canonical JSON.

They are the very files that check here, so that there is one reading of what a packet has to hold.
"""

from __future__ import annotations

from importlib.resources import files

from trainer.records.verify_packet import CARRIED

LAUNCHER = "verify.py"
_FOLDER = "check"

_LAUNCHER_TEXT = '''\
"""Check this packet: python verify.py [packet.zip] [--key LINE]

Needs Python 3.11 or newer and the package `cryptography` (pip install cryptography); no network, no database.
Without a file it checks the folder in which it lies.
"""

import sys
from pathlib import Path

here = Path(__file__).resolve().parent
sys.dont_write_bytecode = True
sys.path.insert(0, str(here / "check"))

from trainer.records.verify_packet import main

arguments = sys.argv[1:]
named = [a for i, a in enumerate(arguments) if not a.startswith("--") and arguments[i - 1 : i] != ["--key"]]
sys.exit(main(arguments if named else [*arguments, str(here)]))
'''


def checker() -> dict[str, bytes]:
    """Return the files of the checker by their paths in a packet."""
    ours = files("trainer")
    carried = {
        "trainer/__init__.py": ours / "__init__.py",
        "trainer/errors.py": ours / "errors.py",
        "trainer/records/__init__.py": ours / "records" / "__init__.py",
        **{f"trainer/records/{name}.py": ours / "records" / f"{name}.py" for name in CARRIED},
        # Apache License 2.0; its notice stands in its own file.
        **{f"rfc8785/{name}": files("rfc8785") / name for name in ("__init__.py", "_impl.py")},
    }
    found = {f"{_FOLDER}/{path}": file.read_bytes() for path, file in carried.items()}
    return {LAUNCHER: _LAUNCHER_TEXT.encode(), **found}
