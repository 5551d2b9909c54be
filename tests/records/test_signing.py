"""Signatures, keys, signed notes and credentials against the vectors of their standards."""

from __future__ import annotations

import copy
import json
import struct
from typing import Any

import pytest
import rfc8785

from tests.records.published import Published, values
from trainer.records import base58, canonical, data_integrity, signed_note
from trainer.records.signed_note import Checkpoint, NoteUnreadable, Verifier
from trainer.records.signing_key import KeyUnusable, PublicKey, SigningKey

KEY = SigningKey(bytes(range(32)))
NAME = "records.invented.example/log"


@pytest.mark.parametrize("value", values("ed25519_sign"), ids=lambda v: v.id)
def test_published_signatures(value: Published) -> None:
    key = SigningKey(bytes.fromhex(value.given["secret_hex"]))
    message = bytes.fromhex(value.given["message_hex"])
    assert key.public.raw.hex() == value.expected["public_hex"]
    assert key.sign(message).hex() == value.expected["signature_hex"]
    assert key.public.signed(message, key.sign(message))
    assert not key.public.signed(message + b"x", key.sign(message))
    assert not key.public.signed(message, key.sign(message)[:-1])


@pytest.mark.parametrize("value", values("jcs_text"), ids=lambda v: v.id)
def test_published_canonical_texts(value: Published) -> None:
    assert rfc8785.dumps(json.loads(value.given["json_text"])).hex() == value.expected


@pytest.mark.parametrize("value", values("jcs_ieee754"), ids=lambda v: v.id)
def test_published_numbers(value: Published) -> None:
    number = struct.unpack(">d", bytes.fromhex(value.given["hex"]))[0]
    assert rfc8785.dumps(number).decode() == value.expected


@pytest.mark.parametrize("value", values("multibase58_decode"), ids=lambda v: v.id)
def test_published_base58(value: Published) -> None:
    text = value.given["text"]
    assert base58.read(text[1:]).hex() == value.expected
    assert "z" + base58.written(bytes.fromhex(value.expected)) == text


def test_leading_zeros_stay_in_base58_and_other_characters_are_refused() -> None:
    assert base58.read(base58.written(b"\0\0\x01")) == b"\0\0\x01"
    assert base58.written(b"\0\0\x01") == "112"
    with pytest.raises(base58.NotBase58, match="'0'"):
        base58.read("20")


@pytest.mark.parametrize("value", values("didkey_from_public"), ids=lambda v: v.id)
def test_published_names_of_keys(value: Published) -> None:
    key = PublicKey(bytes.fromhex(value.given["public_hex"]))
    assert key.did == value.expected
    assert PublicKey.of_did(value.expected) == key
    assert PublicKey.of_did(f"{key.did}#{key.multibase}") == key


@pytest.mark.parametrize(
    "text", ["did:web:x", "did:key:z6Mk", "did:key:z6MktwupdmLXVVqTzCw4i46r4uGyosGXRnR3XjN4Zq7oMMsw#x"]
)
def test_a_name_that_is_no_key_is_refused(text: str) -> None:
    with pytest.raises(KeyUnusable):
        PublicKey.of_did(text)


@pytest.mark.parametrize("value", values("note_verify"), ids=lambda v: v.id)
def test_published_note(value: Published) -> None:
    verifier = Verifier.read(value.given["vkey"])
    assert str(verifier) == value.given["vkey"]
    assert signed_note.checked(value.given["note"], verifier) == "This is an example message.\n"
    changed = value.given["note"].replace("example message", "exbmple message")
    assert signed_note.checked(changed, verifier) is None


@pytest.mark.parametrize("value", values("note_create"), ids=lambda v: v.id)
def test_checkpoint_of_a_published_tree_with_a_published_key(value: Published) -> None:
    given = value.given
    key = SigningKey(bytes.fromhex(given["secret_hex"]))
    checkpoint = Checkpoint(given["origin"], given["size"], bytes.fromhex(given["root_hex"]))
    note = signed_note.signed(checkpoint.text, given["origin"], key)
    assert note == value.expected["note"]
    assert str(Verifier(given["origin"], key.public)) == value.expected["vkey"]
    text = signed_note.checked(note, Verifier(given["origin"], key.public))
    assert text is not None
    assert signed_note.checkpoint_in(text) == checkpoint


def test_no_bit_of_a_note_can_be_flipped() -> None:
    note = signed_note.signed(Checkpoint(NAME, 12, bytes(32)).text, NAME, KEY)
    verifier = Verifier(NAME, KEY.public)
    whole = note.encode()
    for place in range(len(whole) * 8):
        flipped = bytearray(whole)
        flipped[place // 8] ^= 1 << place % 8
        try:
            found = signed_note.checked(flipped.decode(), verifier)
        except (NoteUnreadable, UnicodeDecodeError):
            continue
        assert found is None, place


def test_a_second_signature_does_not_disturb() -> None:
    text = Checkpoint(NAME, 12, bytes(32)).text
    other = SigningKey(bytes(32))
    note = (
        signed_note.signed(text, NAME, KEY) + signed_note.signed(text, "witness", other).rpartition("\n\n")[2]
    )
    assert signed_note.checked(note, Verifier(NAME, KEY.public)) == text
    assert signed_note.checked(note, Verifier("witness", other.public)) == text
    assert signed_note.checked(note, Verifier("nobody", other.public)) is None


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("log\n1\n", "three lines"),
        ("log\n01\n" + "A" * 43 + "=\n", "no number"),
        ("log\n1\nQUJD\n", "no hash"),
        ("log\n1\n!\n", "no base64"),
        ("log\n1\n" + "A" * 43 + "=", "three lines"),
    ],
)
def test_what_is_no_checkpoint_is_refused(text: str, why: str) -> None:
    with pytest.raises(NoteUnreadable, match=why):
        signed_note.checkpoint_in(text)


@pytest.mark.parametrize("name", ["", "with space", "with+plus"])
def test_a_name_that_would_not_come_back_is_refused(name: str) -> None:
    with pytest.raises(KeyUnusable, match="name of a key"):
        Verifier(name, KEY.public)


def test_a_verifier_whose_number_does_not_fit_is_refused() -> None:
    line = str(Verifier(NAME, KEY.public))
    name, number, coded = line.split("+", 2)
    with pytest.raises(KeyUnusable, match="does not belong"):
        Verifier.read(f"{name}+{'0' * len(number)}+{coded}")


@pytest.mark.parametrize("value", values("eddsa_jcs_2022_create"), ids=lambda v: v.id)
def test_published_credential_is_signed_to_the_letter(value: Published) -> None:
    given, expected = value.given, value.expected
    secret = base58.read(given["secretKeyMultibase"][1:])
    assert secret.hex() == expected["secretKey_hex"]
    key = SigningKey(secret[2:])
    assert key.public.multibase == given["publicKeyMultibase"]
    proof = data_integrity.options(given["proof_options"]["created"], key.public)
    assert proof == given["proof_options"]
    hashed = data_integrity.hash_data(given["document"], {**proof, "@context": given["document"]["@context"]})
    assert hashed.hex() == expected["hash_data"]
    assert key.sign(hashed).hex() == expected["signature_hex"]
    done = data_integrity.signed(given["document"], proof["created"], key)
    assert done["proof"][0]["proofValue"] == expected["proofValue"]
    assert data_integrity.signer(done) == key.public


@pytest.mark.parametrize("value", values("eddsa_jcs_2022_verify"), ids=lambda v: v.id)
def test_published_credentials_and_changed_ones(value: Published) -> None:
    assert (data_integrity.signer(value.given["document"]) is not None) is value.expected


def _leaves(data: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    if isinstance(data, dict):
        return [leaf for name, item in data.items() for leaf in _leaves(item, (*path, name))]
    if isinstance(data, list):
        return [leaf for number, item in enumerate(data) for leaf in _leaves(item, (*path, number))]
    return [path]


def test_no_value_of_a_signed_credential_can_be_changed() -> None:
    document = {
        "@context": ["https://www.w3.org/ns/credentials/v2"],
        "id": "urn:x",
        "a": {"b": ["c", 3, None]},
    }
    done = data_integrity.signed(document, "2027-03-17T12:00:00Z", KEY)
    for path in _leaves(done):
        changed = copy.deepcopy(done)
        at: Any = changed
        for name in path[:-1]:
            at = at[name]
        at[path[-1]] = f"{at[path[-1]]}1"
        try:
            signer = data_integrity.signer(changed)
        except (data_integrity.ProofUnusable, KeyUnusable, base58.NotBase58):
            continue
        assert signer != KEY.public, path


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ('{"a":1,"a":2}', "'a' stands twice"),
        ('{"a":NaN}', "NaN"),
        ('{"a":1.5}', "1.5"),
        ('{"a":9007199254740993}', "beyond"),
        ("{", "character 1"),
        ("[" * 100_000, "too deeply"),
    ],
)
def test_json_that_two_readers_would_read_differently_is_refused(text: str, why: str) -> None:
    """RFC 8785, section 3.1, asks for I-JSON (RFC 7493): no member twice, numbers within double precision."""
    with pytest.raises(canonical.NotCanonical, match=why):
        canonical.read(text)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), 9007199254740993])
def test_what_has_no_canonical_form_is_refused(value: float) -> None:
    with pytest.raises((ValueError, rfc8785.CanonicalizationError)):
        canonical.written(value)
