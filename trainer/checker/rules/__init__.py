"""The rules, one file each; a new rule is one file and one line here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.rules import duplicate_key, unknown_name

if TYPE_CHECKING:
    from trainer.checker.checked import Rule

RULES: tuple[Rule, ...] = (
    duplicate_key,
    unknown_name,
)
