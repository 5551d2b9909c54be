"""Bytes as text in base 58, with the alphabet of Bitcoin, which leaves out 0, O, I and l.

Source: draft-msporny-base58, "The Base58 Encoding Scheme"; a leading zero byte is a leading `1`.
"""

from __future__ import annotations

from trainer.errors import TrainerError

_ALPHABET = "123456789ABCDEFGHJKLMNPQRSTUVWXYZabcdefghijkmnopqrstuvwxyz"


class NotBase58(TrainerError):
    """A text holds a character that base 58 does not have."""

    def __init__(self, character: str) -> None:
        super().__init__(f"The character '{character}' does not occur in base 58.")


def written(data: bytes) -> str:
    """Return bytes as text."""
    number, text = int.from_bytes(data, "big"), ""
    while number:
        number, digit = divmod(number, 58)
        text = _ALPHABET[digit] + text
    return "1" * (len(data) - len(data.lstrip(b"\0"))) + text


def read(text: str) -> bytes:
    """Return the bytes of a text.

    Raises:
        NotBase58: it holds another character.
    """
    number = 0
    for character in text:
        digit = _ALPHABET.find(character)
        if digit < 0:
            raise NotBase58(character)
        number = number * 58 + digit
    zeros = len(text) - len(text.lstrip("1"))
    return b"\0" * zeros + number.to_bytes((number.bit_length() + 7) // 8, "big")
