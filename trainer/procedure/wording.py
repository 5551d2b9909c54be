"""Names of parts and steps inside sentences."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

_IRREGULAR = {"are": "is", "have": "has", "go": "goes", "do": "does"}


def in_sentence(name: str) -> str:
    """Return a printed name as it stands inside a sentence: `Cover nuts` → `cover nuts`, `O-ring` stays."""
    if len(name) > 1 and (name[1].isupper() or name[1] in "-0123456789"):
        return name
    return name[:1].lower() + name[1:]


def the(name: str) -> str:
    """Return `the cover nuts`."""
    return f"the {in_sentence(name)}"


def capital(sentence: str) -> str:
    """Return the sentence with a capital at its start."""
    return sentence[:1].upper() + sentence[1:]


def is_plural(name: str) -> bool:
    """Tell whether a printed name is a plural, as far as its last letters tell."""
    return name.endswith("s") and not name.endswith("ss")


def form(name: str, singular: str, plural: str) -> str:
    """Return the verb that goes with a name."""
    return plural if is_plural(name) else singular


def full_stop(sentence: str) -> str:
    """Return the sentence with a full stop at its end, and no second one."""
    text = sentence.strip()
    return text if text.endswith((".", "!", "?")) else f"{text}."


def listed(names: Sequence[str]) -> str:
    """Return `a, b and c`."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"


@dataclass(frozen=True)
class Thing:
    """A part, fastener or line as the subject or object of a sentence."""

    name: str

    def __str__(self) -> str:
        """Return `the cover nuts`."""
        return the(self.name)

    def does(self, verb: str, *rest: str) -> str:
        """Return subject and verb: the verb is given in the plural, `hold` → `the cover holds`.

        What follows the verb may be given behind it.
        """
        return " ".join((the(self.name), self.form(verb), *rest))

    def form(self, verb: str) -> str:
        """Return the verb alone as it goes with the thing: `hold` → `holds`."""
        return form(self.name, _IRREGULAR.get(verb, f"{verb}s"), verb)

    @property
    def it(self) -> str:
        """`it` or `them`."""
        return form(self.name, "it", "them")
