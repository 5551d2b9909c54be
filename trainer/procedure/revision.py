"""The canonical form of a procedure and its hash, which names the revision.

The form keeps what is written, not how: comments, quotes, spacing and the order of keys do not count; the order of
parts, fasteners and steps does, because item numbers follow it. Shared cautions that the procedure names are part
of it, because they are printed with it.

Source: RFC 8785, JSON Canonicalization Scheme. A procedure holds texts, lists and mappings alone, for which the encoder of
the standard library writes that form once mappings are in order; `tests/procedure/test_revision.py` holds it to rfc8785,
which takes ten times as long.
"""

from __future__ import annotations

import hashlib
import json
from typing import TYPE_CHECKING, Any

from trainer.procedure import keys
from trainer.procedure.blocks import TableOf
from trainer.procedure.source import Mapping, Node, Scalar

if TYPE_CHECKING:
    from collections.abc import Iterable

    from trainer.procedure.model import Caution

_TABLES = tuple(key.name for key in keys.MODULE.keys if isinstance(key.value, TableOf))


def canonical(root: Mapping | None, shared: Iterable[Caution]) -> bytes:
    """Return the canonical JSON of a procedure and the shared cautions that it names."""
    if root is None:
        return b""
    content = {name: _plain(node, table=name in _TABLES) for name, node, _ in root.items()}
    cautions = {caution.id: {"signal": str(caution.signal), "text": caution.text} for caution in shared}
    return written({"procedure": _in_order(content), "shared_cautions": _in_order(cautions)})


def written(value: Any) -> bytes:
    """Return the canonical JSON of texts, lists and mappings; the names in each mapping stand in order already."""
    return json.dumps(value, ensure_ascii=False, separators=(",", ":")).encode()


def _in_order(mapping: dict[str, Any]) -> dict[str, Any]:
    """Return a mapping with its names in the order of RFC 8785: by their UTF-16 code units."""
    return dict(sorted(mapping.items(), key=lambda item: item[0].encode("utf-16-be")))


def _plain(node: Node, *, table: bool = False) -> Any:
    if isinstance(node, Scalar):
        return " ".join(node.text.split())
    if isinstance(node, Mapping):
        if table:
            return [[name, _plain(item)] for name, item, _ in node.items()]
        return _in_order({name: _plain(item) for name, item, _ in node.items()})
    return [_plain(item) for item in node.items]


def revision(form: bytes) -> str:
    """Return the name of a revision: the SHA-256 of its canonical form, in hexadecimal."""
    return hashlib.sha256(form).hexdigest()


def short(name: str) -> str:
    """Return the part of a revision's name that is printed in a title block."""
    return name[:10]
