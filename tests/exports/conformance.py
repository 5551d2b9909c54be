"""A second opinion on PDF/A-3a and PDF/UA-1: what `page-validation` finds, which shares nothing with the compiler."""

from __future__ import annotations

import re
import sys
from importlib import import_module
from importlib.util import find_spec
from platform import machine
from typing import Any

import pytest

from tests.databases import missing

# The package has wheels for this alone; pyproject.toml asks for it under the same marker.
_HAS_WHEELS = sys.platform == "linux" and machine() == "x86_64"
_LENGTH = "PDFA3A-STREAM-LENGTH-001"


def objections(pdf: bytes, profile: str) -> list[tuple[str, str]]:
    """Return what the checker objects to in a file: each rule with its sentence.

    Args:
        pdf: the file.
        profile: `3a` for ISO 19005-3 level A, `ua1` for ISO 14289-1.
    """
    if find_spec("page") is None:
        why = "page-validation is not installed"
        if not _HAS_WHEELS:
            pytest.skip(f"{why}: it has wheels for Linux on x86_64 alone")
        missing(why)
    report = import_module("page").validate_pdf_bytes(pdf, profile=profile)
    found = [one for one in report.failures if not _takes_data_for_the_end_of_a_line(pdf, one)]
    assert report.is_compliant or report.failures
    return [(one.rule_id, one.message) for one in found]


def _takes_data_for_the_end_of_a_line(pdf: bytes, failure: Any) -> bool:
    """Tell whether the checker finds a stream too short because its last byte is a carriage return.

    The marker before `endstream` is no part of the data (ISO 32000-1, 7.3.8.1). Behind such a byte our line feed looks to
    version 0.11 of the checker like the second half of the marker, and the data one byte short.
    """
    where = failure.object_id
    if failure.rule_id != _LENGTH or where is None:
        return False
    return ends_in_carriage_return(pdf, where.object_number, where.generation)


def ends_in_carriage_return(pdf: bytes, number: int, generation: int) -> bool:
    """Tell whether the stream of an object is as long as it says and its last byte is a carriage return."""
    head = rb"\b%d %d obj\b.*?/Length (\d+).*?>>\s*?stream\r?\n" % (number, generation)
    begun = re.search(head, pdf, re.DOTALL)
    if begun is None:
        return False
    end = begun.end() + int(begun[1])
    return pdf[end - 1 : end] == b"\r" and pdf[end:].startswith(b"\nendstream")
