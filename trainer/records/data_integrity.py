"""Signing a credential and checking it: a Data Integrity proof of the suite eddsa-jcs-2022.

Signed is SHA-256(canonical proof options) followed by SHA-256(canonical document without its proofs); the `@context` of
the document is copied into the proof's options first, so that it is signed twice over. Canonical is RFC 8785.

Source: W3C, Data Integrity EdDSA Cryptosuites v1.0, section 3.3; its Appendix B holds the vectors that the tests repeat.
"""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING, Any

import rfc8785

from trainer.errors import TrainerError
from trainer.records import base58
from trainer.records.signing_key import PublicKey

if TYPE_CHECKING:
    from collections.abc import Mapping

    from trainer.records.signing_key import SigningKey

_TYPE, _SUITE, _PURPOSE = "DataIntegrityProof", "eddsa-jcs-2022", "assertionMethod"


class ProofUnusable(TrainerError):
    """A document carries no proof that can be checked here."""

    def __init__(self, why: str) -> None:
        super().__init__(f"The proof on the credential cannot be checked: {why}.")


def options(created: str, key: PublicKey) -> dict[str, Any]:
    """Return the options of a proof made at a time (RFC 3339, UTC)."""
    return {
        "type": _TYPE,
        "cryptosuite": _SUITE,
        "created": created,
        "verificationMethod": f"{key.did}#{key.multibase}",
        "proofPurpose": _PURPOSE,
    }


def hash_data(document: Mapping[str, Any], proof: Mapping[str, Any]) -> bytes:
    """Return the 64 bytes that are signed: the hash of the options, then that of the document."""
    bare = {name: value for name, value in document.items() if name != "proof"}
    config = {name: value for name, value in proof.items() if name != "proofValue"}
    return hashlib.sha256(rfc8785.dumps(config)).digest() + hashlib.sha256(rfc8785.dumps(bare)).digest()


def signed(document: Mapping[str, Any], created: str, key: SigningKey) -> dict[str, Any]:
    """Return the document with its proof."""
    bare = {name: value for name, value in document.items() if name != "proof"}
    proof = {**options(created, key.public), "@context": bare["@context"]}
    value = "z" + base58.written(key.sign(hash_data(bare, proof)))
    return {**bare, "proof": [{**proof, "proofValue": value}]}


def signer(document: Mapping[str, Any]) -> PublicKey | None:
    """Return the key that signed every byte of a document; None when a byte was changed since.

    Whether that key may be trusted, and whether the document still holds, are other questions. Contexts may stand behind
    those of the proof without being signed: whoever reads the document has to know every one of them.

    Raises:
        ProofUnusable: there is no proof of this suite, or it is broken.
    """
    proof = _proof(document)
    context = proof.get("@context")
    if context is not None:
        given = document.get("@context")
        if not isinstance(given, list) or not isinstance(context, list):
            raise ProofUnusable("its @context is no list")
        if given[: len(context)] != context:
            return None
        document = {**document, "@context": context}
    value = proof.get("proofValue")
    if not isinstance(value, str) or not value.startswith("z"):
        raise ProofUnusable("its proofValue is missing or not written in base 58")
    key = PublicKey.of_did(str(proof.get("verificationMethod")))
    return key if key.signed(hash_data(document, proof), base58.read(value[1:])) else None


def _proof(document: Mapping[str, Any]) -> Mapping[str, Any]:
    found = document.get("proof")
    proofs = found if isinstance(found, list) else [found]
    for proof in proofs:
        if isinstance(proof, dict) and (proof.get("type"), proof.get("cryptosuite")) == (_TYPE, _SUITE):
            if proof.get("proofPurpose") != _PURPOSE:
                raise ProofUnusable(f"its purpose is not {_PURPOSE}")
            return proof
    raise ProofUnusable(f"it has no proof of the suite {_SUITE}")
