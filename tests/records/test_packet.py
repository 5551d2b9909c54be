"""A packet checks out whole, and names what was changed in it, file by file and bit by bit."""

from __future__ import annotations

import hashlib
import random
from typing import Any

import pytest

from tests.exports import samples
from trainer.records import canonical, credential, merkle, packet, signed_note
from trainer.records.key_file import LogKey
from trainer.records.log_entry import entry
from trainer.records.packet import Growth, PacketUnreadable
from trainer.records.proof import EntryProof
from trainer.records.signed_note import Checkpoint
from trainer.records.signing_key import SigningKey

KEY = LogKey("invented.example/log", SigningKey(bytes(range(32))))
TRUSTED = [KEY.verifier]
RECORD = samples.record()
QUESTION = {"ask": "Put the strip-down in order.", "kind": "order", "seed": 7}
ANSWER, MARK = ["a", "b"], {"right": True, "credit": "1"}
PICTURE = b"<svg xmlns='http://www.w3.org/2000/svg'/>"
PHOTOGRAPH = b"invented bytes of a photograph"
OBSERVATION = {
    "record": "observation",
    "number": 4,
    "photographs": [{"step": "a", "sha256": hashlib.sha256(PHOTOGRAPH).hexdigest()}],
}
NUMBERS = {"risk_of_a_wrong_pass": "0.1"}
PROCEDURE = {"procedure": {"module": "invented"}, "shared_cautions": {}}


def _hash(value: Any) -> str:
    return packet._sha256(canonical.written(value).encode())


PAYLOADS: list[tuple[str, dict[str, Any]]] = [
    ("module:publish", {"module": "invented"}),
    ("practice:answer", {"answer": ANSWER, "mark_sha256": _hash(MARK), "question": QUESTION}),
    ("qualification:sign", {"record": RECORD.as_data()}),
    ("observation:close", {"observation": 4, "record": OBSERVATION}),
    ("policy:keep", {"policy": _hash(NUMBERS), "numbers": NUMBERS}),
]
ENTRIES = [
    entry(
        number=number,
        at="2027-03-18T09:00:00.000000Z",
        person_id="P-0001",
        action=action,
        payload=canonical.written(payload),
    )
    for number, (action, payload) in enumerate(PAYLOADS, start=1)
]


def _node(address: merkle.Address) -> bytes:
    level, position = address
    first = position << level
    return merkle.root([merkle.leaf_hash(e) for e in ENTRIES[first : first + (1 << level)]])


def _note(size: int, key: LogKey = KEY) -> str:
    root = merkle.root([merkle.leaf_hash(e) for e in ENTRIES[:size]])
    return signed_note.signed(Checkpoint(key.name, size, root).text, key.name, key.key)


def _files() -> dict[str, bytes]:
    def proof(number: int) -> bytes:
        path = merkle.inclusion_path(number - 1, 5, _node)
        text = ENTRIES[number - 1].decode()
        return canonical.written(EntryProof(number, text, path, _note(5)).as_data()).encode()

    growth = Growth(_note(3), _note(5), merkle.consistency_path(3, 5, _node))
    return {
        "index.html": b"<!doctype html><title>Invented</title>",
        "records/QR-000117.json": canonical.written(RECORD.as_data()).encode(),
        "credentials/QR-000117.json": canonical.written(credential.issued(RECORD, KEY)).encode(),
        "log/2.json": proof(2),
        "log/3.json": proof(3),
        "log/4.json": proof(4),
        "log/5.json": proof(5),
        "observations/4.json": canonical.written(OBSERVATION).encode(),
        f"photographs/{hashlib.sha256(PHOTOGRAPH).hexdigest()}.jpg": PHOTOGRAPH,
        "pictures/a.svg": PICTURE,
        f"policies/{_hash(NUMBERS)}.json": canonical.written(NUMBERS).encode(),
        "growth/3.json": canonical.written(growth.as_data()).encode(),
        "answers/2.json": canonical.written(
            {
                "entry": 2,
                "question": QUESTION,
                "answer": ANSWER,
                "mark": MARK,
                "pictures": {"1 question": "pictures/a.svg"},
            }
        ).encode(),
        f"revisions/{_hash(PROCEDURE)}.json": canonical.written(PROCEDURE).encode(),
    }


WHOLE = packet.bound(_files(), "Invented evidence", KEY)


def _found(files: dict[str, bytes]) -> list[str]:
    return [str(fault) for fault in packet.faults(files, TRUSTED)]


def _named(files: dict[str, bytes]) -> set[str]:
    """Return the files at which something is found; of contents that cannot be read, the contents."""
    try:
        return {fault.path for fault in packet.faults(files, TRUSTED)}
    except PacketUnreadable:
        return {packet.CONTENTS}


def test_a_packet_that_was_not_touched_has_no_fault() -> None:
    assert _found(WHOLE) == []


def test_the_same_files_give_the_same_bytes() -> None:
    assert packet.bound(_files(), "Invented evidence", KEY) == WHOLE


def test_any_bit_flipped_in_any_file_is_named_at_that_file() -> None:
    draw = random.Random(3)  # noqa: S311  # which bits are tried
    for path, data in WHOLE.items():
        for _ in range(250):
            bit = draw.randrange(len(data) * 8)
            flipped = bytearray(data)
            flipped[bit // 8] ^= 1 << bit % 8
            named = _named({**WHOLE, path: bytes(flipped)})
            assert path in named or (path == packet.CONTENTS and packet.SIGNED in named), (path, bit)


def test_a_file_taken_out_or_put_in_is_named() -> None:
    without = {path: data for path, data in WHOLE.items() if path != "index.html"}
    assert _found(without) == ["index.html: The file is missing."]
    assert _found({**WHOLE, "more.txt": b""}) == ["more.txt: The contents do not list this file."]


def test_a_stranger_cannot_sign_a_packet() -> None:
    stranger = LogKey(KEY.name, SigningKey(bytes(32)))
    found = _found(packet.bound(_files(), "Invented evidence", stranger))
    assert found == ["contents.signed: The contents are not signed by a key that is trusted here."]


def test_the_owner_of_the_key_cannot_make_up_a_record_that_the_log_does_not_hold() -> None:
    made_up = samples.record(person="Somebody Else")
    files = {**_files(), "records/QR-000117.json": canonical.written(made_up.as_data()).encode()}
    found = _found(packet.bound(files, "Invented evidence", KEY))
    assert found == [
        "records/QR-000117.json: No entry of the log in this packet holds this record as it stands here.",
        "credentials/QR-000117.json: It speaks of another record than the one beside it.",
    ]


@pytest.mark.parametrize(
    ("path", "data", "text"),
    [
        (
            "answers/2.json",
            {"entry": 2, "question": QUESTION, "answer": ["b", "a"], "mark": MARK},
            "Answer or mark",
        ),
        ("answers/2.json", {"entry": 2, "question": {}, "answer": ANSWER, "mark": MARK}, "The question"),
        ("answers/2.json", {"entry": 9, "question": {}, "answer": ANSWER, "mark": MARK}, "Entry 9"),
        ("answers/2.json", {}, "no answered question"),
        ("answers/2.json", {"entry": [], "question": {}, "answer": [], "mark": {}}, "Entry []"),
        (
            "answers/2.json",
            {
                "entry": 2,
                "question": QUESTION,
                "answer": ANSWER,
                "mark": MARK,
                "pictures": {"1 question": "b.svg"},
            },
            "picture b.svg is not",
        ),
        ("observations/4.json", {**OBSERVATION, "number": 5}, "No entry of the log"),
        (f"policies/{_hash(NUMBERS)}.json", {"risk_of_a_wrong_pass": "0.9"}, "named after"),
        ("policies/" + "0" * 64 + ".json", NUMBERS, "named after"),
        (f"policies/{_hash({})}.json", {}, "holds these numbers"),
        ("growth/3.json", {}, "no proof that the log has grown"),
        ("growth/3.json", Growth(_note(2), _note(5), ()).as_data(), "does not begin with that of 2"),
        (
            "growth/3.json",
            Growth(_note(3, LogKey("x", SigningKey(bytes(32)))), _note(5), ()).as_data(),
            "not signed",
        ),
        ("revisions/" + "0" * 64 + ".json", PROCEDURE, "named after"),
    ],
)
def test_what_does_not_hold_is_told_at_its_file(path: str, data: dict[str, Any], text: str) -> None:
    files = {**_files(), path: canonical.written(data).encode()}
    found = _found(packet.bound(files, "Invented evidence", KEY))
    assert any(fault.startswith(path) and text in fault for fault in found), found


def test_a_photograph_that_no_observation_names_is_told() -> None:
    other = b"bytes of another one"
    path, named = f"photographs/{hashlib.sha256(other).hexdigest()}.jpg", f"photographs/{'0' * 64}.jpg"
    assert _found(packet.bound({**_files(), path: other}, "Invented evidence", KEY)) == [
        f"{path}: No observation in the log of this packet names this photograph."
    ]
    assert _found(packet.bound({**_files(), named: PHOTOGRAPH}, "Invented evidence", KEY)) == [
        f"{named}: The photograph is not the one that the file is named after.",
        f"{named}: No observation in the log of this packet names this photograph.",
    ]


def test_a_proof_under_another_name_is_told() -> None:
    files = _files()
    files["log/9.json"] = files["log/3.json"]
    assert _found(packet.bound(files, "Invented evidence", KEY)) == [
        "log/9.json: It proves entry 3, which belongs into another file."
    ]


@pytest.mark.parametrize(
    "contents", [None, b"{", b"[]", b'{"packet":"evidence","form":2,"files":[]}', b'{"a":1,"a":1}']
)
def test_what_is_no_packet_is_refused(contents: bytes | None) -> None:
    files = dict(WHOLE)
    if contents is None:
        del files[packet.CONTENTS]
    else:
        files[packet.CONTENTS] = contents
    with pytest.raises(PacketUnreadable):
        packet.faults(files, TRUSTED)
