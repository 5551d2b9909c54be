"""Ed25519 keys: the secret that signs, the public half that checks, and how both are written.

A public key is 32 bytes. Three ways of writing it are used: hexadecimal figures for people, a `did:key` in
credentials, and the line of a signed note's verifier (`signed_note`). Source: RFC 8032 for the signatures; "The did:key
Method", W3C Community Group, for 0xED 0x01 before the key and base58 behind a `z`.
"""

from __future__ import annotations

from dataclasses import dataclass

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

from trainer.errors import TrainerError
from trainer.records import base58

KEY_BYTES = 32
SIGNATURE_BYTES = 64
_DID_KEY = "did:key:"
_ED25519 = b"\xed\x01"


class KeyUnusable(TrainerError):
    """A key cannot be read."""

    def __init__(self, why: str) -> None:
        super().__init__(f"The key cannot be used: {why}.")


@dataclass(frozen=True)
class PublicKey:
    """The half of a key that everybody may have."""

    raw: bytes

    def __post_init__(self) -> None:
        """Refuse what is no key."""
        if len(self.raw) != KEY_BYTES:
            raise KeyUnusable(f"a public key has {KEY_BYTES} bytes, not {len(self.raw)}")

    def signed(self, message: bytes, signature: bytes) -> bool:
        """Tell whether the owner of this key signed these bytes."""
        if len(signature) != SIGNATURE_BYTES:
            return False
        try:
            Ed25519PublicKey.from_public_bytes(self.raw).verify(signature, message)
        except InvalidSignature:
            return False
        return True

    @property
    def multibase(self) -> str:
        """The key as credentials write it."""
        return "z" + base58.written(_ED25519 + self.raw)

    @property
    def did(self) -> str:
        """The key as the name of its owner."""
        return _DID_KEY + self.multibase

    @staticmethod
    def of_did(text: str) -> PublicKey:
        """Return the key that a `did:key` names; a fragment behind it must repeat it.

        Raises:
            KeyUnusable: it names no Ed25519 key.
        """
        name, _, fragment = text.removeprefix(_DID_KEY).partition("#")
        if not text.startswith(_DID_KEY + "z") or (fragment and fragment != name):
            raise KeyUnusable(f"'{text[:80]}' is no did:key")
        raw = base58.read(name[1:])
        if not raw.startswith(_ED25519):
            raise KeyUnusable(f"'{text[:80]}' is no Ed25519 key")
        return PublicKey(raw[len(_ED25519) :])


class SigningKey:
    """A key that can sign; its secret half is 32 bytes."""

    def __init__(self, secret: bytes) -> None:
        if len(secret) != KEY_BYTES:
            raise KeyUnusable(f"a secret has {KEY_BYTES} bytes, not {len(secret)}")
        self._key = Ed25519PrivateKey.from_private_bytes(secret)
        self.public = PublicKey(self._key.public_key().public_bytes_raw())

    def sign(self, message: bytes) -> bytes:
        """Return the signature, 64 bytes; the same message gives the same bytes."""
        return self._key.sign(message)
