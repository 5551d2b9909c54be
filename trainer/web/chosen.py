"""Choosing whose lines a list shows, by the address of the list alone, so that it can be kept and sent."""

from __future__ import annotations

from flask import request

from trainer.actions.chosen_people import Wanted


def wanted() -> Wanted:
    """Return what the address asks for."""
    return Wanted(request.args.get("crew"), request.args.get("name", "").strip())
