"""Credentials that a public validator ships, held to our words of the published shape."""

from __future__ import annotations

import copy
import json
from datetime import date
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tests.records.published import Published, values
from trainer.errors import TrainerError
from trainer.records import credential

SCHEMA = json.loads(Path(__file__).with_name("credential.schema.json").read_text(encoding="utf-8"))
# 1EdTech, digital-credentials-public-validator, inspector-vc/src/test/resources/ob30/simple.json; texts shortened.
SIMPLE: dict[str, Any] = {
    "@context": [
        "https://www.w3.org/ns/credentials/v2",
        "https://purl.imsglobal.org/spec/ob/v3p0/context-3.0.3.json",
    ],
    "id": "http://example.com/credentials/3527",
    "type": ["VerifiableCredential", "OpenBadgeCredential"],
    "issuer": {"id": "https://example.com/issuers/876543", "type": ["Profile"], "name": "Example Corp"},
    "validFrom": "2010-01-01T00:00:00Z",
    "name": "Teamwork",
    "credentialSubject": {
        "id": "did:example:ebfeb1f712ebc6f1c276e12ec21",
        "type": ["AchievementSubject"],
        "achievement": {
            "id": "https://example.com/achievements/21st-century-skills/teamwork",
            "type": ["Achievement"],
            "criteria": {"narrative": "Nominated by their peers."},
            "description": "Collaborates within a group.",
            "name": "Teamwork",
        },
    },
    "proof": {
        "type": "DataIntegrityProof",
        "created": "2010-01-01T19:23:24Z",
        "verificationMethod": "https://example.com/issuers/876543#z6MkjZRZv3aez3r18pB1RBFJR1kwUVJ5jHt92JmQwXbd5hwi",
        "cryptosuite": "eddsa-rdfc-2022",
        "proofPurpose": "assertionMethod",
        "proofValue": "z2t8HUUbHs1G3o5t1uCTA7kbdprP21W9xmf8qJaDBWBoHSBFvJB26Bdq7Fi1ko2cnaHAvXETdMX6dPGFSA2rTP4KW",
    },
}
_KEY = "did:key:z6MkjZRZv3aez3r18pB1RBFJR1kwUVJ5jHt92JmQwXbd5hwi"
_URN = "urn:uuid:f6ab24cd-86e8-4eaf-b8c6-ded74e8fd41c"
_IDENTITY = {
    "hashed": False,
    "identityHash": "student@1edtech.edu",
    "identityType": "email",
    "salt": "not-used",
}
# What each file of that folder has otherwise, by the path of the member.
OTHERWISE: dict[str, dict[str, Any]] = {
    "simple.json": {},
    "complete.json": {
        "description": "1EdTech University Degree Description",
        "validUntil": "2030-01-01T00:00:00Z",
        "awardedDate": "2010-01-01T00:00:00Z",
        "issuer.otherIdentifier": [
            {"type": "IdentifierEntry", "identifier": "12345", "identifierType": "sourcedId"}
        ],
        "issuer.parentOrg": {"id": "did:example:123456789", "type": ["Profile"]},
        "credentialSubject.identifier": [{"type": "IdentityObject", **_IDENTITY}],
        "credentialSubject.source": {"id": "https://school.edu/issuers/201234", "type": ["Profile"]},
        "credentialSubject.achievement.resultDescription": [
            {
                "id": _URN,
                "type": ["ResultDescription"],
                "name": "Final Project Grade",
                "resultType": "LetterGrade",
            }
        ],
        "credentialSubject.result": [{"type": ["Result"], "resultDescription": _URN, "value": "A"}],
        "evidence": [{"id": "https://1edtech.edu/credentials/3732/evidence/1", "type": ["Evidence"]}],
        "credentialSchema": [
            {"id": "https://example.com/schema.json", "type": "1EdTechJsonSchemaValidator2019"}
        ],
        "credentialStatus": {"id": "https://example.com/3732/revocations", "type": "1EdTechRevocationList"},
        "refreshService": {"id": "http://example.com/3732", "type": "1EdTechCredentialRefresh"},
    },
    "simple-did-key-method.json": {
        "type": ["VerifiableCredential", "AchievementCredential"],
        "validFrom": "2022-11-10T07:38:00-08:00",
        "issuer.id": "urn:uuid:6f2e33e5-7a29-4155-840a-59483ba10164",
        "proof": [{**SIMPLE["proof"], "verificationMethod": _KEY}],
    },
    "simple-err-credential-subject-type.json": {"credentialSubject.type": ["InvalidAchievementSubject"]},
    "simple-err-issuer-type.json": {"issuer.type": ["InvalidProfile"]},
    "simple-err-type.json": {"type": ["VerifiableCredential", "OtherCredential"]},
    "simple-err-credential-subject-result-type.json": {
        "credentialSubject.result": [
            {"type": ["Result"], "resultDescription": _URN, "value": "A"},
            {"type": ["InvalidResult"], "resultDescription": _URN},
        ]
    },
    "simple-err-credential-subject-identifier-type.json": {
        "credentialSubject.identifier": [{"type": "InvalidIdentityObject", **_IDENTITY}]
    },
    # The shape before Verifiable Credentials 2.0: another context, and the day under another name.
    "simple_v1.json": {
        "@context": [
            "https://www.w3.org/2018/credentials/v1",
            "https://purl.imsglobal.org/spec/ob/v3p0/context.json",
        ],
        "validFrom": None,
        "issuanceDate": "2010-01-01T00:00:00Z",
    },
}


def _document(name: str) -> dict[str, Any]:
    document = copy.deepcopy(SIMPLE)
    for path, value in OTHERWISE[name].items():
        *way, last = path.split(".")
        at: Any = document
        for step in way:
            at = at[step]
        at[last] = value
        if value is None:
            del at[last]
    return document


@pytest.mark.parametrize("value", values("ob3_schema"), ids=lambda v: v.id)
def test_published_credentials_have_the_shape_or_not(value: Published) -> None:
    document = _document(value.given["file"])
    assert jsonschema.Draft202012Validator(SCHEMA).is_valid(document) is value.expected


@pytest.mark.parametrize("name", OTHERWISE)
def test_a_published_credential_of_another_suite_is_refused_in_one_sentence(name: str) -> None:
    """Its suite leaves terms unsigned that no context defines; nothing of it qualifies anybody here."""
    with pytest.raises(TrainerError) as refused:
        assert credential.faults(_document(name), [], date(2028, 1, 1)) == ()
    assert str(refused.value).endswith(".")
