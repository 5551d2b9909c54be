"""A page is a dataclass whose fields are all that its template may use, drawn on a sheet with a title block."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, ClassVar

from flask import get_flashed_messages, make_response, render_template

from trainer.web.context import provider_name, site, someone
from trainer.web.ways import Way, ways_for

if TYPE_CHECKING:
    from datetime import date

    from flask import Response


@dataclass(frozen=True)
class TitleBlock:
    """The data fields of a title block (names as in ISO 7200, from a public help page); empty ones are left out.

    `whose` stands in place of a document number on sheets that belong to a person or a crew.
    """

    title: str
    subtitle: str = ""
    kind: str = "Sheet"
    whose: tuple[str, str] = ("", "")
    document: str = ""
    revision: str = ""
    sheet: str = "1 of 1"
    day: date | None = None
    issued_by: str = ""
    approved_by: str = ""


@dataclass(frozen=True)
class Frame:
    """What stands around the content of every page: whose sheet, who is signed in, where they can go.

    `signs_at` is the host of the provider where they may show again who they are for a signature, "" without;
    `own_password`: they have chosen a password of their own.
    """

    owner: str
    name: str
    sign_in_name: str
    ways: tuple[Way, ...]
    said: tuple[str, ...]
    signs_at: str
    own_password: bool


@dataclass(frozen=True)
class Page:
    """Base of every page; TEMPLATE draws it."""

    TEMPLATE: ClassVar[str] = ""
    block: TitleBlock


def frame() -> Frame:
    """Return the frame for this request."""
    who = someone()
    return Frame(
        owner=site().settings.company,
        name=who.display_name if who else "",
        sign_in_name=who.name if who else "",
        ways=ways_for(who) if who else (),
        said=tuple(str(sentence) for sentence in get_flashed_messages()),
        signs_at=provider_name() if who and who.signs_at else "",
        own_password=not (who and who.given_password),
    )


def show(page: Page, status: int = 200) -> Response:
    """Return the page drawn by its template."""
    values = {field.name: getattr(page, field.name) for field in fields(page)}
    return make_response(render_template(page.TEMPLATE, frame=frame(), **values), status)
