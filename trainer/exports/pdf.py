"""One way to paper: a typst template and plain data in, an archival and readable-aloud PDF out.

Every sheet is PDF/A-3a and PDF/UA-1 in one file. The same template, data and moment give the same bytes: no
clock is read, and the fonts are the program's own and those inside the compiler, never those of the machine.
Templates are files; what people wrote goes in as JSON beside them and is never read as template text.
"""

from __future__ import annotations

import json
import threading
import unicodedata
from dataclasses import dataclass, field
from datetime import UTC
from enum import StrEnum
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import datetime

    import typst

MEDIA_TYPE = "application/pdf"
ENDING = "pdf"

_HERE = Path(__file__).resolve().parent
TEMPLATES = _HERE / "typst"
_FONTS = _HERE / "fonts"
STANDARDS: list[typst.PDFStandard] = ["a-3a", "ua-1"]
# A word longer than any cell is wide may break after so many letters.
_LONGEST_WORD = 26


class PdfRefused(TrainerError):
    """The compiler would not write the sheet: a sign no font has, or a template at fault."""

    def __init__(self, title: str, why: str) -> None:
        super().__init__(f"The sheet '{title}' cannot be printed: {why}.")


class PaperUnknown(TrainerError):
    """A paper size that the sheets are not made for."""

    def __init__(self, paper: str) -> None:
        known = " or ".join(size.value for size in Paper)
        super().__init__(f"'{paper}' is not a paper size here; use {known}.")


class Paper(StrEnum):
    """The paper sizes in force in the trade's offices."""

    A4 = "a4"
    US_LETTER = "us-letter"

    @classmethod
    def named(cls, name: str) -> Paper:
        """Return the paper of that name.

        Raises:
            PaperUnknown: there is none.
        """
        try:
            return cls(name)
        except ValueError:
            raise PaperUnknown(name) from None


@dataclass(frozen=True)
class Attachment:
    """A file that travels inside the PDF: the data of the record itself."""

    name: str
    description: str
    data: bytes


@dataclass(frozen=True)
class Sheet:
    """Everything that a sheet is set from.

    Args:
        template: name of the template file, without its ending.
        data: plain JSON values; texts are cleaned of what cannot be set.
        title: title of the document, shown by viewers and read aloud.
        at: the moment the document speaks of, with its zone; it becomes the date inside the file.
        paper: `a4` or `us-letter`.
        attachments: JSON data to carry along; its bytes must be UTF-8 text.
        drawings: SVG by the name under which the template places it, as `drawing.paper` has made it.
    """

    template: str
    data: Mapping[str, Any]
    title: str
    at: datetime
    paper: str
    attachments: Sequence[Attachment] = ()
    drawings: Mapping[str, str] = field(default_factory=dict)

    @property
    def file(self) -> str:
        """The path of the template."""
        return str(TEMPLATES / f"{self.template}.typ")

    @property
    def timestamp(self) -> int:
        """The moment as the compiler takes it."""
        return int(self.at.timestamp())

    def inputs(self) -> dict[str, str]:
        """Return what the template gets, as texts.

        Raises:
            PaperUnknown: the paper is neither.
        """
        utc = self.at.astimezone(UTC)
        sheet = {
            **self.data,
            "document_title": self.title,
            "document_date": [utc.year, utc.month, utc.day, utc.hour, utc.minute, utc.second],
            "paper": Paper.named(self.paper).value,
        }
        inputs = {"data": json.dumps(settable(sheet), ensure_ascii=False, sort_keys=True)}
        if self.attachments:
            named = [{"name": inside.name, "description": inside.description} for inside in self.attachments]
            inputs["attachments"] = json.dumps(named, ensure_ascii=False)
        inputs |= {
            f"attachment_{n}": inside.data.decode("utf-8") for n, inside in enumerate(self.attachments)
        }
        # As they are: what cleans texts would break their numbers apart.
        inputs |= {f"drawing_{name}": svg for name, svg in self.drawings.items()}
        return inputs


def compose(
    template: str,
    data: Mapping[str, Any],
    *,
    title: str,
    at: datetime,
    paper: str,
    attachments: Sequence[Attachment] = (),
    drawings: Mapping[str, str] | None = None,
) -> bytes:
    """Return the PDF of a template filled with data; `Sheet` says what each of them is.

    Raises:
        PaperUnknown: the paper is neither.
        PdfRefused: the compiler would not write it.
    """
    return composed(Sheet(template, data, title, at, paper, attachments, drawings or {}))


def composed(sheet: Sheet) -> bytes:
    """Return a sheet as PDF.

    Raises:
        PaperUnknown: the paper is neither.
        PdfRefused: the compiler would not write it.
    """
    import typst

    kept, inputs = _compiler(), sheet.inputs()
    try:
        with kept.lock:
            pdf, _ = kept.typst.compile_with_warnings(
                input=sheet.file,
                format="pdf",
                sys_inputs=inputs,
                pdf_standards=STANDARDS,
                timestamp=sheet.timestamp,
            )
    except typst.TypstError as problem:
        raise PdfRefused(sheet.title, problem.message.strip().rstrip(".")) from problem
    if not isinstance(pdf, bytes):
        raise PdfRefused(sheet.title, "the compiler gave back no file")
    return pdf


def settable(value: Any) -> Any:
    """Return the value with every text in it composed (NFC), free of control signs, long words breakable."""
    if isinstance(value, str):
        return _settable_text(value)
    if isinstance(value, dict):
        return {key: settable(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [settable(item) for item in value]
    return value


def _settable_text(text: str) -> str:
    composed = unicodedata.normalize("NFC", text)
    spaced = "".join(" " if sign in "\t\r\n\v\f\x85\u2028\u2029" else sign for sign in composed)
    kept = "".join(sign for sign in spaced if unicodedata.category(sign) not in ("Cc", "Cs"))
    return " ".join(_breakable(word) for word in kept.split(" "))


def _breakable(word: str) -> str:
    if len(word) <= _LONGEST_WORD:
        return word
    pieces = (word[start : start + _LONGEST_WORD] for start in range(0, len(word), _LONGEST_WORD))
    return "\u200b".join(pieces)


class _Compiler:
    """The kept compiler and its lock; one sheet at a time, because its inputs are part of its state."""

    def __init__(self) -> None:
        self.typst = new_compiler()
        self.lock = threading.Lock()


@cache
def _compiler() -> _Compiler:
    return _Compiler()


def new_compiler() -> typst.Compiler:
    """Return a compiler that knows our templates and our fonts and nothing of the machine."""
    # It comes with the first sheet: the start does without.
    import typst

    fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=[str(_FONTS)])
    return typst.Compiler(root=str(TEMPLATES), font_paths=fonts, ignore_system_fonts=True)
