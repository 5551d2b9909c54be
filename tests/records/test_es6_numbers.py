"""Numbers in canonical JSON against the published file of them, made here again as its README says."""

from __future__ import annotations

import base64
import hashlib
import itertools
import math
import struct
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
import rfc8785

from tests.records.published import Published, values

if TYPE_CHECKING:
    from collections.abc import Iterator

# cyberphone/json-canonicalization (Apache-2.0; the authors of RFC 8785), testdata: the values that its sequence begins with.
CHOSEN = Path(__file__).with_name("es6_numbers.txt").read_text(encoding="utf-8").split()


def _numbers() -> Iterator[float]:
    """Yield the sequence: chosen values, 2000 behind the smallest normal one, then what a chain of SHA-256 gives."""
    yield from (struct.unpack(">d", bytes.fromhex(number))[0] for number in CHOSEN)
    yield from (struct.unpack(">d", struct.pack(">Q", 0x0010000000000000 + n))[0] for n in range(2000))
    block = bytes(32)
    while True:
        block = hashlib.sha256(block).digest()
        for (number,) in struct.iter_unpack("<d", block):
            if number and math.isfinite(number):
                yield number


@pytest.mark.parametrize("value", values("es6_number_file_sha256"), ids=lambda v: v.id)
def test_published_sequences_of_numbers(value: Published) -> None:
    digest = hashlib.sha256()
    for number in itertools.islice(_numbers(), value.given["lines"]):
        bits = struct.unpack(">Q", struct.pack(">d", number))[0]
        digest.update(f"{bits:x},{rfc8785.dumps(number).decode()}\n".encode())
    assert digest.hexdigest() == value.expected


@pytest.mark.parametrize("value", values("base64_std"), ids=lambda v: v.id)
def test_published_base64(value: Published) -> None:
    """RFC 4648, section 10: the alphabet in which signed notes carry roots and signatures."""
    assert base64.b64encode(value.given["text"].encode()).decode() == value.expected
    assert base64.b64decode(value.expected, validate=True).decode() == value.given["text"]
