"""The portable credential: of the published shape, bound to its record, refused when anything about it is doubtful."""

from __future__ import annotations

import copy
import json
import random
from datetime import date
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tests.exports import samples
from trainer.records import canonical, credential, data_integrity
from trainer.records.canonical import NotCanonical
from trainer.records.credential import CredentialUnreadable
from trainer.records.key_file import LogKey
from trainer.records.signing_key import SigningKey

KEY = LogKey("invented.example/log", SigningKey(bytes(range(32))))
RECORD = samples.record()
DAY = date(2028, 1, 1)
# The shape of the public data model (1EdTech, openbadges-specification, ob_v3p0/common_credentials.lines) in words of ours.
SCHEMA = json.loads(Path(__file__).with_name("credential.schema.json").read_text(encoding="utf-8"))


def _issued() -> dict[str, Any]:
    return credential.issued(RECORD, KEY)


def test_it_has_the_shape_that_the_standard_asks_for() -> None:
    jsonschema.validate(_issued(), SCHEMA)


def test_nothing_in_it_is_null_or_empty() -> None:
    """Open Badges 3.0, serialization: a member without a value is left out, and so is a list without items."""

    def hollow(value: Any) -> bool:
        if isinstance(value, dict):
            return not value or any(hollow(item) for item in value.values())
        if isinstance(value, list):
            return not value or any(hollow(item) for item in value)
        return value is None or value == ""

    for record in (RECORD, samples.record(supersedes="", skills=(), classes=(), statement="", result="")):
        assert not hollow(credential.issued(record, KEY))


def test_the_same_record_gives_the_same_bytes_and_another_one_others() -> None:
    assert _issued() == _issued()
    other = credential.issued(samples.record(number="QR-000118"), KEY)
    assert other["id"] != _issued()["id"]
    assert credential.record_hash(other) != credential.record_hash(_issued())


def test_it_holds_from_the_first_day_to_the_last_and_no_longer() -> None:
    trusted = [KEY.verifier]
    document = json.loads(json.dumps(_issued()))
    for day in (RECORD.valid_from, DAY, RECORD.valid_until):
        assert credential.faults(document, trusted, day) == ()
    assert credential.faults(document, trusted, date(2027, 3, 17)) == (
        "The credential holds only from 2027-03-18 on.",
    )
    assert credential.faults(document, trusted, date(2030, 3, 18)) == (
        "The credential held until 2030-03-17.",
    )


def test_a_key_that_nobody_trusts_qualifies_nobody() -> None:
    stranger = LogKey("invented.example/log", SigningKey(bytes(32)))
    [fault] = credential.faults(credential.issued(RECORD, stranger), [KEY.verifier], DAY)
    assert fault.endswith("is not one that may qualify people.")


def test_a_credential_signed_in_the_name_of_another_is_refused() -> None:
    document = _issued()
    stranger = SigningKey(bytes(32))
    document["issuer"]["name"] = "Somebody else"
    forged = data_integrity.signed(document, "2027-03-18T09:00:00Z", stranger)
    assert credential.faults(forged, [KEY.verifier], DAY) == (
        "The credential was signed by another key than its issuer's.",
    )


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("validUntil",), "2040-03-17T23:59:59Z"),
        (("credentialSubject", "identifier", 0, "identityHash"), "Somebody Else"),
        (("credentialSubject", "achievement", "name"), "T-32 Everything"),
        (("added",), "unsigned?"),
    ],
)
def test_what_was_changed_or_added_afterwards_is_seen(path: tuple[Any, ...], value: str) -> None:
    document = copy.deepcopy(_issued())
    at: Any = document
    for name in path[:-1]:
        at = at[name]
    at[path[-1]] = value
    assert credential.faults(document, [KEY.verifier], DAY) == (
        "The credential was changed after it was signed.",
    )


def test_any_bit_flipped_in_a_credential_is_seen() -> None:
    whole, draw = canonical.written(_issued()).encode(), random.Random(7)  # noqa: S311  # which bits are tried
    assert credential.faults(canonical.read(whole.decode()), [KEY.verifier], DAY) == ()
    for bit in draw.sample(range(len(whole) * 8), 4000):
        flipped = bytearray(whole)
        flipped[bit // 8] ^= 1 << bit % 8
        try:
            found = credential.faults(canonical.read(flipped.decode()), [KEY.verifier], DAY)
        except (UnicodeDecodeError, NotCanonical, CredentialUnreadable):
            # No text, no JSON of this form, or no credential: each is told in a sentence of its own.
            continue
        assert found, bit


def test_a_context_that_is_not_signed_is_refused() -> None:
    """The suite lets contexts stand behind those of the proof unsigned (W3C, section 3.3.2, step 4)."""
    document = _issued()
    document["@context"] = [*document["@context"], "https://extra.invalid/v1"]
    with pytest.raises(CredentialUnreadable, match="@context"):
        credential.faults(document, [KEY.verifier], DAY)


@pytest.mark.parametrize("name", ["id", "type", "issuer", "validFrom", "credentialSubject", "proof"])
def test_a_credential_without_one_of_its_parts_is_refused(name: str) -> None:
    document = _issued()
    del document[name]
    with pytest.raises(CredentialUnreadable):
        credential.faults(document, [KEY.verifier], DAY)


@pytest.mark.parametrize("document", [None, [], "x", {"@context": credential.CONTEXTS, "type": "x"}])
def test_what_is_no_credential_is_refused(document: object) -> None:
    with pytest.raises(CredentialUnreadable):
        credential.faults(document, [KEY.verifier], DAY)
