"""Somebody at a browser without script: opens sheets, fills in forms as they stand there, reads what comes back."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING
from urllib.parse import urljoin

import html5lib
from bs4 import BeautifulSoup

if TYPE_CHECKING:
    from bs4 import Tag
    from flask.testing import FlaskClient
    from werkzeug.test import TestResponse


@dataclass
class Sheet:
    """One answer of the server."""

    path: str
    response: TestResponse

    @property
    def status(self) -> int:
        """The status of the answer."""
        return self.response.status_code

    @property
    def text(self) -> str:
        """The body as text."""
        return self.response.get_data(as_text=True)

    @property
    def soup(self) -> BeautifulSoup:
        """The body, parsed."""
        return BeautifulSoup(self.text, "html5lib")

    @property
    def heading(self) -> str:
        """The one sentence on top."""
        return words(self.one("h1"))

    @property
    def said(self) -> str:
        """What went wrong, in the box that says so."""
        return " ".join(
            words(box) for box in self.soup.select(".says[role=alert]") if not box.has_attr("hidden")
        )

    def one(self, selector: str) -> Tag:
        """Return the only element that fits."""
        found = self.soup.select(selector)
        assert len(found) == 1, f"{len(found)} of {selector} at {self.path}"
        return found[0]

    def words(self, selector: str = "main") -> str:
        """Return the words of an element."""
        return words(self.soup.select(selector)[0])

    def must_be_sound(self) -> None:
        """Parse strictly: html5lib raises on the first thing that is not HTML."""
        html5lib.HTMLParser(strict=True).parse(self.text)


def words(tag: Tag) -> str:
    """Return the words in an element with single spaces, as read."""
    return " ".join(tag.get_text(" ").split())


@dataclass
class Visitor:
    """A person with a browser of their own."""

    client: FlaskClient
    sheet: Sheet = field(init=False)

    def get(self, path: str) -> Sheet:
        """Open a sheet, following redirects."""
        return self._see(path, self.client.get(path, follow_redirects=True))

    def send(self, form: str, *, press: str = "", **fields: str | list[str]) -> Sheet:
        """Send a form of the open sheet as it stands there, with some fields filled in.

        Args:
            form: selector of the form.
            press: value of the named button that is pressed; the first unnamed one otherwise.
            fields: values by name; `row__a` stands for `row.a`.
        """
        tag = self.sheet.one(form)
        values = standing_in(tag)
        values.update({name.replace("__", "."): value for name, value in fields.items()})
        for button in tag.select("button[name]"):
            if press and button["value"] == press:
                values[str(button["name"])] = press
        path = urljoin(self.sheet.path, str(tag["action"]))
        return self._see(path, self.client.post(path, data=values, follow_redirects=True))

    def send_get(self, form: str, **fields: str) -> Sheet:
        """Send a form of the open sheet that only asks for something, with some fields filled in."""
        tag = self.sheet.one(form)
        path = urljoin(self.sheet.path, str(tag["action"]))
        values = {**standing_in(tag), **fields}
        return self._see(path, self.client.get(path, query_string=values, follow_redirects=True))

    def post(self, path: str, **fields: str) -> Sheet:
        """Send fields to an address with the token of the open sheet, whether or not a form there does."""
        token = self.sheet.soup.select("[name=csrf_token]")[0]["value"]
        answer = self.client.post(path, data={"csrf_token": token, **fields}, follow_redirects=True)
        return self._see(path, answer)

    def _see(self, path: str, response: TestResponse) -> Sheet:
        self.sheet = Sheet(response.request.path if response.history else path, response)
        return self.sheet


def standing_in(form: Tag) -> dict[str, str | list[str]]:
    """Return what a browser would send from a form as it stands."""
    values: dict[str, list[str]] = {}
    for tag in form.select("input[name], textarea[name], select[name]"):
        if tag.get("type") in ("radio", "checkbox") and not tag.has_attr("checked"):
            continue
        values.setdefault(str(tag["name"]), []).append(_value(tag))
    return {name: value if len(value) > 1 else value[0] for name, value in values.items()}


def _value(tag: Tag) -> str:
    if tag.name == "textarea":
        return tag.get_text()
    if tag.name == "select":
        options = tag.select("option[selected]") or tag.select("option")
        return str(options[0]["value"]) if options else ""
    return str(tag.get("value", ""))
