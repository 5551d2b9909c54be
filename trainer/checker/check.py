"""Checking procedure files: every rule on every module, all findings in one run, never a traceback."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer import settings
from trainer.checker.checked import Checked
from trainer.checker.rules import RULES
from trainer.procedure import library
from trainer.procedure.findings import Finding, Signal
from trainer.procedure.window import prepare

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from trainer.procedure.model import Module
    from trainer.procedure.shared_tables import SharedTables


def check_module(module: Module, shared: SharedTables | None = None) -> tuple[Finding, ...]:
    """Return all findings on a module in the order of their places."""
    known = library.tables() if shared is None else shared
    checked = Checked(module, prepare(module), known)
    found = {finding for rule in RULES for finding in rule.check(checked)}
    return tuple(sorted(found, key=lambda finding: (finding.place, finding.code, finding.what)))


def check_text(
    text: str | bytes, file: str, shared: SharedTables | None = None
) -> tuple[Module, tuple[Finding, ...]]:
    """Return the module in a text and all findings on it."""
    module = library.read_module(text, file, shared)
    return module, check_module(module, shared)


def is_sound(findings: Iterable[Finding]) -> bool:
    """Tell whether a module with these findings may be used: no error among them."""
    return all(finding.signal is not Signal.ERROR for finding in findings)


def check_paths(paths: Iterable[Path]) -> tuple[Finding, ...]:
    """Return the findings on files and on all procedure files in folders, file by file, each file once.

    Raises:
        FileUnreadable: a path does not exist or cannot be opened.
    """
    findings: list[Finding] = []
    for file in dict.fromkeys(file for path in paths for file in _files(path)):
        try:
            data = file.read_bytes()
        except OSError as problem:
            raise library.FileUnreadable(file, problem.strerror or "it is not a readable file") from problem
        findings += check_text(data, str(file))[1]
    return tuple(findings)


def check_shipped() -> tuple[Finding, ...]:
    """Return the findings on the shipped procedures and the shared tables."""
    return (*library.tables().findings, *check_paths([settings.shipped("content")]))


def _files(path: Path) -> list[Path]:
    if path.is_dir():
        return sorted(file for file in path.rglob("*") if file.suffix in (".yaml", ".yml") and file.is_file())
    return [path]
