"""An answer and its mark as they are kept: canonical JSON, read when they are asked for."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Any

from trainer.records import canonical

if TYPE_CHECKING:
    from collections.abc import Mapping


class AnswerKept:
    """What every row with an answer has; the texts are fields of the row's own dataclass."""

    answer_text: str
    mark_text: str

    @cached_property
    def answer(self) -> Any:
        """The answer as plain JSON values."""
        return canonical.read(self.answer_text)

    @cached_property
    def mark(self) -> Mapping[str, Any]:
        """The mark as plain JSON values."""
        kept: Mapping[str, Any] = canonical.read(self.mark_text)
        return kept
