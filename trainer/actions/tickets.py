"""The ticket that goes with an answer and keeps it from being counted twice."""

from __future__ import annotations

from trainer.errors import TrainerError

_LONGEST = 80


class TicketUnfit(TrainerError):
    """The ticket that keeps an answer from being counted twice is missing or too long."""

    def __init__(self) -> None:
        super().__init__(f"An answer needs a ticket of 1 to {_LONGEST} characters.")


def must_be_fit(ticket: str) -> None:
    """Let pass a ticket that can be kept.

    Raises:
        TicketUnfit: it is empty or too long.
    """
    if not 0 < len(ticket) <= _LONGEST:
        raise TicketUnfit
