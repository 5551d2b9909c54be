"""A qualification as a portable credential: the data model of Open Badges 3.0, signed, and read again with suspicion.

A valid signature alone proves that the holder of a key signed; whether that key may qualify people, whether the
credential holds on a day, and whether every word in it was signed are asked here as well, in that order.

Source: 1EdTech, Open Badges Specification 3.0, data model; W3C, Verifiable Credentials Data Model 2.0.
"""

from __future__ import annotations

import hashlib
import re
import uuid
from datetime import UTC, date, datetime, time
from typing import TYPE_CHECKING, Any

from trainer.errors import TrainerError
from trainer.records import canonical, data_integrity
from trainer.records.base58 import NotBase58
from trainer.records.data_integrity import ProofUnusable
from trainer.records.signing_key import KeyUnusable

if TYPE_CHECKING:
    from collections.abc import Iterable

    from trainer.records.key_file import LogKey
    from trainer.records.qualification import QualificationRecord
    from trainer.records.signed_note import Verifier

# Whoever reads it knows these two contexts and no other: what stands behind further ones would not be signed.
CONTEXTS = [
    "https://www.w3.org/ns/credentials/v2",
    "https://purl.imsglobal.org/spec/ob/v3p0/context-3.0.3.json",
]
_TYPES = ["VerifiableCredential", "OpenBadgeCredential"]
_MOMENT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d)")
_NEEDED = ("id", "issuer", "validFrom", "credentialSubject")


class CredentialUnreadable(TrainerError):
    """A file is no credential of this kind."""

    def __init__(self, why: str) -> None:
        super().__init__(f"This is no qualification credential: {why}.")


def issued(record: QualificationRecord, key: LogKey) -> dict[str, Any]:
    """Return the signed credential of a record; the same record and key give the same bytes."""
    data = canonical.written(record.as_data())
    at = _moment(record.supervisor.at)
    methods = "; ".join(f"{method.words} ({method.paragraph})" for method in record.methods)
    aoc = "; ".join(record.abnormal_conditions)
    document = {
        "@context": list(CONTEXTS),
        "id": _named(key, "record", record.number),
        "type": list(_TYPES),
        "name": f"Qualification record {record.number}: {record.task} {record.task_title}",
        "issuer": {"id": key.verifier.key.did, "type": ["Profile"], "name": record.company},
        "validFrom": _moment(datetime.combine(record.valid_from, time(), UTC)),
        # The last day counts in full.
        "validUntil": _moment(datetime.combine(record.valid_until, time(23, 59, 59), UTC)),
        "awardedDate": at,
        "credentialSubject": {
            "id": _named(key, "person", record.person_id),
            "type": ["AchievementSubject"],
            "identifier": [
                _identity("name", record.person),
                _identity("systemId", record.person_id),
            ],
            "achievement": {
                "id": _named(key, "task", f"{record.task}/{record.revision}"),
                "type": ["Achievement"],
                "achievementType": "Competency",
                "name": f"{record.task} {record.task_title}",
                "version": record.revision,
                "description": f"{record.module_title}, {record.document or record.module}. Sizes: "
                f"{', '.join(record.sizes) or 'one'}.",
                "criteria": {
                    "narrative": f"Evaluated by: {methods}. Abnormal operating conditions recognised: {aoc}. "
                    f"Evaluator: {record.evaluator.name}. Signed by: {record.supervisor.name}."
                },
            },
        },
        "evidence": [
            {
                "type": ["Evidence"],
                "name": f"Qualification record {record.number}",
                "narrative": f"SHA-256 of the record's canonical JSON: {hashlib.sha256(data.encode()).hexdigest()}",
            }
        ],
    }
    return data_integrity.signed(document, at, key.key)


def record_hash(document: dict[str, Any]) -> str:
    """Return the hash of the record that a credential speaks of, "" when it names none."""
    for evidence in document.get("evidence", ()):
        found = re.search(r"[0-9a-f]{64}", str(evidence.get("narrative", "")))
        if found:
            return found[0]
    return ""


def faults(document: object, trusted: Iterable[Verifier], today: date) -> tuple[str, ...]:
    """Return a sentence for each thing that does not hold; nothing when the credential can be relied on that day.

    Args:
        document: the credential as plain JSON values.
        trusted: the keys that may qualify people.
        today: the day asked about.

    Raises:
        CredentialUnreadable: it is no credential of this kind, or carries no proof that can be checked.
    """
    return forged(document, trusted) or _out_of_date(_read(document), today)


def forged(document: object, trusted: Iterable[Verifier]) -> tuple[str, ...]:
    """Return a sentence for each thing that does not hold about the signature, whether or not the credential still holds.

    Raises:
        CredentialUnreadable: as for `faults`.
    """
    read = _read(document)
    try:
        signer = data_integrity.signer(read)
    except (ProofUnusable, KeyUnusable, NotBase58) as problem:
        raise CredentialUnreadable(str(problem).rstrip(".")) from problem
    if signer is None:
        return ("The credential was changed after it was signed.",)
    issuer = read["issuer"].get("id") if isinstance(read["issuer"], dict) else read["issuer"]
    if signer.did != issuer:
        return ("The credential was signed by another key than its issuer's.",)
    if signer not in [verifier.key for verifier in trusted]:
        return (f"The key {signer.did} is not one that may qualify people.",)
    return ()


def _out_of_date(read: dict[str, Any], today: date) -> tuple[str, ...]:
    begin, end = _day(read["validFrom"]), _day(read["validUntil"]) if "validUntil" in read else None
    if today < begin:
        return (f"The credential holds only from {begin.isoformat()} on.",)
    if end is not None and today > end:
        return (f"The credential held until {end.isoformat()}.",)
    return ()


def _read(document: object) -> dict[str, Any]:
    if not isinstance(document, dict):
        raise CredentialUnreadable("it is no object")
    if document.get("@context") != CONTEXTS:
        raise CredentialUnreadable("its @context holds something else than the two that are known here")
    if not isinstance(document.get("type"), list) or not set(_TYPES) <= set(document["type"]):
        raise CredentialUnreadable("its type is another")
    for name in _NEEDED:
        if name not in document:
            raise CredentialUnreadable(f"it has no '{name}'")
    for name in ("validFrom", "validUntil"):
        if name in document and not _MOMENT.fullmatch(str(document[name])):
            raise CredentialUnreadable(f"its {name} is no time")
    return document


def _identity(kind: str, value: str) -> dict[str, Any]:
    return {"type": "IdentityObject", "hashed": False, "identityHash": value, "identityType": kind}


def _named(key: LogKey, what: str, which: str) -> str:
    """Return the same UUID for the same thing of the same log (RFC 9562, version 5)."""
    return f"urn:uuid:{uuid.uuid5(uuid.NAMESPACE_URL, f'{key.name}/{what}/{which}')}"


def _moment(at: datetime) -> str:
    return at.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")


def _day(text: str) -> date:
    return datetime.fromisoformat(text).astimezone(UTC).date()
