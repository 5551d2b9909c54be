"""What is wrong with an activity statement, in sentences: a statement goes out only when nothing is.

Source: ADL, Experience API 1.0.3, Part Two; the section stands beside each rule.
"""

from __future__ import annotations

import re
from datetime import datetime
from typing import TYPE_CHECKING, Any

from trainer.exports.activity.response import is_right

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    _Rule = Callable[[object, str], Iterator[str]]

# 4.6: weeks stand alone, nothing is empty, seconds to the hundredth count and may be written finer.
_DURATION = re.compile(
    r"P(?:\d+(?:\.\d+)?W|(?=\d|T\d)(?:\d+(?:\.\d+)?Y)?(?:\d+(?:\.\d+)?M)?(?:\d+(?:\.\d+)?D)?"
    r"(?:T(?=\d)(?:\d+(?:\.\d+)?H)?(?:\d+(?:\.\d+)?M)?(?:\d+(?:\.\d+)?S)?)?)"
)
_UUID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[1-5][0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}", re.IGNORECASE)
_MOMENT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(?:\.\d+)?(?:Z|[+-]\d\d:\d\d)")
_IRI = re.compile(r"[A-Za-z][A-Za-z0-9+.-]*:[^\s]+")
# RFC 5646 as far as statements need it: a language of two to eight letters, subtags behind it.
_LANGUAGE = re.compile(r"[A-Za-z]{2,8}(?:-[A-Za-z0-9]{1,8})*")
_REFERENCE, _VOIDED = "StatementRef", "http://adlnet.gov/expapi/verbs/voided"
_NOT_IN_IDS = ("[,]", "[.]", "[:]")

# 2.4.4.1: which lists of components a type of interaction may carry.
COMPONENTS: Mapping[str, tuple[str, ...]] = {
    "true-false": (),
    "choice": ("choices",),
    "fill-in": (),
    "long-fill-in": (),
    "matching": ("source", "target"),
    "performance": ("steps",),
    "sequencing": ("choices",),
    "likert": ("scale",),
    "numeric": (),
    "other": (),
}
_LISTS = ("choices", "scale", "source", "target", "steps")
_IDENTIFIERS = ("mbox", "mbox_sha1sum", "openid", "account")


def faults(statement: object) -> tuple[str, ...]:
    """Return a sentence for each rule that a statement breaks."""
    return tuple(_statement(statement))


def _statement(found: object) -> Iterator[str]:
    if not isinstance(found, dict):
        yield "A statement is an object."
        return
    yield from _nothing_is_null(found, "the statement")
    yield from _members(found, "the statement", _STATEMENT, needed=("actor", "verb", "object"))
    yield from _success(found)
    yield from _voiding(found)


def _voiding(found: Mapping[str, Any]) -> Iterator[str]:
    """2.3.2: what is voided is another statement, and says so."""
    refers = _at(found, "object", "objectType") == _REFERENCE
    if _at(found, "verb", "id") == _VOIDED and not refers:
        yield f"What is voided is a statement, so that the object is a '{_REFERENCE}'."


def _target(found: object, where: str) -> Iterator[str]:
    """2.4.4: an activity, or a reference to another statement."""
    if isinstance(found, dict) and found.get("objectType") == _REFERENCE:
        yield from _members(
            found, where, {"objectType": _is(_REFERENCE), "id": _matches(_UUID, "UUID")}, needed=("id",)
        )
    else:
        yield from _members(found, where, _ACTIVITY, needed=("id",))


def _success(found: Mapping[str, Any]) -> Iterator[str]:
    """2.4.4.1: where right responses are listed, the success of a result is what the list says of its response."""
    definition = _at(found, "object", "definition")
    patterns, kind = _at(definition, "correctResponsesPattern"), _at(definition, "interactionType")
    response, success = _at(found, "result", "response"), _at(found, "result", "success")
    if not isinstance(response, str) or not isinstance(success, bool) or not isinstance(kind, str):
        return
    if isinstance(patterns, list) and all(isinstance(item, str) for item in patterns):
        listed = is_right(kind, patterns, response)
        if listed is not success:
            is_listed = "is" if listed else "is not"
            yield f"The response {is_listed} among the right ones, and 'success' says otherwise."


def _at(found: object, *way: str) -> object:
    """Return what stands at the end of a way through objects, None where there is no such way."""
    for name in way:
        found = found.get(name) if isinstance(found, dict) else None
    return found


def _nothing_is_null(found: object, where: str) -> Iterator[str]:
    """2.2: null stands nowhere but in extensions."""
    if found is None:
        yield f"{_begin(where)} holds null."
    elif isinstance(found, dict):
        for name, value in found.items():
            if name != "extensions":
                yield from _nothing_is_null(value, f"'{name}' of {where}")
    elif isinstance(found, list):
        for value in found:
            yield from _nothing_is_null(value, where)


def _members(
    found: object, where: str, known: Mapping[str, _Rule], *, needed: tuple[str, ...] = ()
) -> Iterator[str]:
    """2.2: an object holds what is needed, nothing that is unknown, and each of it as its rule says."""
    if not isinstance(found, dict):
        yield f"{_begin(where)} is no object."
        return
    for name in needed:
        if found.get(name) is None:
            yield f"{_begin(where)} has no '{name}'."
    for name, value in found.items():
        if name not in known:
            yield f"{_begin(where)} holds '{name}', which the standard does not know."
        elif value is not None:
            yield from known[name](value, f"'{name}' of {where}")


def _matches(pattern: re.Pattern[str], what: str) -> _Rule:
    def rule(found: object, where: str) -> Iterator[str]:
        if not isinstance(found, str) or not pattern.fullmatch(found):
            yield f"{_begin(where)} is no {what}."

    return rule


def _of(kind: type, what: str) -> _Rule:
    def rule(found: object, where: str) -> Iterator[str]:
        if not isinstance(found, kind):
            yield f"{_begin(where)} is no {what}."

    return rule


def _is(*values: str) -> _Rule:
    def rule(found: object, where: str) -> Iterator[str]:
        if found not in values:
            yield f"{_begin(where)} is not {' or '.join(values)}."

    return rule


def _moment(found: object, where: str) -> Iterator[str]:
    """4.5: RFC 3339 with its zone; minus zero stands for a zone that nobody knows."""
    if not isinstance(found, str) or not _MOMENT.fullmatch(found) or found.endswith("-00:00"):
        yield f"{_begin(where)} is no time with its zone."
        return
    try:
        datetime.fromisoformat(found)
    except ValueError:
        yield f"{_begin(where)} is no time that there is."


def _words(found: object, where: str) -> Iterator[str]:
    """4.2: texts by their language."""
    if not isinstance(found, dict):
        yield f"{_begin(where)} is no object of texts by language."
        return
    for language, text in found.items():
        if not _LANGUAGE.fullmatch(language) or not isinstance(text, str):
            yield f"'{language}' of {where} is no text under a language."


def _actor(found: object, where: str) -> Iterator[str]:
    """2.4.2: exactly one thing tells who it is."""
    yield from _members(found, where, _AGENT)
    if isinstance(found, dict) and len([name for name in _IDENTIFIERS if name in found]) != 1:
        yield f"{_begin(where)} must be told by exactly one of {', '.join(_IDENTIFIERS)}."


def _score(found: object, where: str) -> Iterator[str]:
    """2.4.5.1: scaled from -1 to 1, min below max, raw between them."""
    if not isinstance(found, dict):
        yield f"{_begin(where)} is no object."
        return
    for name, value in found.items():
        if name not in ("scaled", "raw", "min", "max"):
            yield f"{_begin(where)} holds '{name}', which the standard does not know."
        elif isinstance(value, bool) or not isinstance(value, int | float):
            yield f"'{name}' of {where} is no number."
            return
    if not -1 <= found.get("scaled", 0) <= 1:
        yield f"'scaled' of {where} lies outside -1 to 1."
    if "min" in found and "max" in found and not found["min"] < found["max"]:
        yield f"'min' of {where} is not below 'max'."
    raw = found.get("raw")
    if raw is not None and not found.get("min", raw) <= raw <= found.get("max", raw):
        yield f"'raw' of {where} lies outside 'min' to 'max'."


def _definition(found: object, where: str) -> Iterator[str]:
    """2.4.4.1: a type of interaction with the lists that belong to it."""
    yield from _members(found, where, _DEFINITION)
    if not isinstance(found, dict):
        return
    kind = found.get("interactionType")
    lists = [name for name in _LISTS if name in found]
    if kind is None:
        if lists or "correctResponsesPattern" in found:
            yield f"{_begin(where)} answers a question without an 'interactionType'."
    elif kind in COMPONENTS:
        for name in lists:
            if name not in COMPONENTS[kind]:
                yield f"{_begin(where)} is of type '{kind}', to which '{name}' does not belong."


def _components(found: object, where: str) -> Iterator[str]:
    if not isinstance(found, list):
        yield f"{_begin(where)} is no list."
        return
    seen = set()
    for item in found:
        yield from _members(item, f"an item of {where}", _COMPONENT, needed=("id",))
        name = item.get("id") if isinstance(item, dict) else None
        if not isinstance(name, str):
            continue
        if name in seen:
            yield f"The id '{name}' stands twice in {where}."
        if any(mark in name for mark in _NOT_IN_IDS) or any(letter.isspace() for letter in name):
            yield f"The id '{name}' of {where} holds a space or a mark that parts answers."
        seen.add(name)


def _patterns(found: object, where: str) -> Iterator[str]:
    if not isinstance(found, list) or not all(isinstance(item, str) for item in found):
        yield f"{_begin(where)} is no list of texts."


def _extensions(found: object, where: str) -> Iterator[str]:
    if not isinstance(found, dict) or not all(_IRI.fullmatch(name) for name in found):
        yield f"{_begin(where)} is no object whose names are IRIs."


def _activities(found: object, where: str) -> Iterator[str]:
    for item in found if isinstance(found, list) else [found]:
        yield from _members(item, where, _ACTIVITY, needed=("id",))


def _begin(where: str) -> str:
    return where[:1].upper() + where[1:]


def _object(rules: Mapping[str, _Rule], *needed: str) -> _Rule:
    return lambda found, where: _members(found, where, rules, needed=needed)


_text, _flag, _iri = _of(str, "text"), _of(bool, "truth value"), _matches(_IRI, "IRI")
_AGENT: Mapping[str, _Rule] = {
    "objectType": _is("Agent"),
    "name": _text,
    "mbox": _matches(re.compile(r"mailto:[^@\s]+@[^@\s]+"), "mailto address"),
    "mbox_sha1sum": _matches(re.compile(r"[0-9a-fA-F]{40}"), "SHA-1 in hexadecimal figures"),
    "openid": _iri,
    "account": _object({"homePage": _iri, "name": _text}, "homePage", "name"),
}
_COMPONENT: Mapping[str, _Rule] = {"id": _text, "description": _words}
_DEFINITION: Mapping[str, _Rule] = {
    "name": _words,
    "description": _words,
    "type": _iri,
    "moreInfo": _iri,
    "interactionType": _is(*COMPONENTS),
    "correctResponsesPattern": _patterns,
    **dict.fromkeys(_LISTS, _components),
    "extensions": _extensions,
}
_RESULT: Mapping[str, _Rule] = {
    "score": _score,
    "success": _flag,
    "completion": _flag,
    "response": _text,
    "duration": _matches(_DURATION, "duration"),
    "extensions": _extensions,
}
_ACTIVITY: Mapping[str, _Rule] = {"objectType": _is("Activity"), "id": _iri, "definition": _definition}
_CONTEXT: Mapping[str, _Rule] = {
    "registration": _matches(_UUID, "UUID"),
    "instructor": _actor,
    "contextActivities": _object(dict.fromkeys(("parent", "grouping", "category", "other"), _activities)),
    "revision": _text,
    "platform": _text,
    "language": _matches(_LANGUAGE, "language"),
    "extensions": _extensions,
}
_STATEMENT: Mapping[str, _Rule] = {
    "id": _matches(_UUID, "UUID"),
    "actor": _actor,
    "verb": _object({"id": _iri, "display": _words}, "id"),
    "object": _target,
    "result": _object(_RESULT),
    "context": _object(_CONTEXT),
    "timestamp": _moment,
    "version": _matches(re.compile(r"1\.0(\.\d+)?"), "version 1.0"),
}
