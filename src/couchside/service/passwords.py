"""Passwords and PINs: what may be one, and their Argon2id hashes [RFC9106]."""

from __future__ import annotations

import hashlib
import hmac
import secrets
from functools import cache

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from couchside.errors import InvalidInput

SHORTEST_PASSWORD = 12
"""With no other rule on top [NIST-SP-800-63B 5.1.1 asks for 8 or more and against composition
rules; from memory]; a few words in a row are long enough and can be typed with gloves on."""

LONGEST_PASSWORD = 200
SHORTEST_PIN, LONGEST_PIN = 4, 8
TOKEN_BYTES = 32

_HASHER = PasswordHasher()
"""The library's own settings: Argon2id, 64 MiB, 3 passes, 4 lanes [RFC9106 4, second choice]."""


def hash_secret(secret: str) -> str:
    """The hash that is kept in place of a password or PIN; it brings its own salt and settings."""
    return _HASHER.hash(secret)


def is_right(secret: str, kept_hash: str) -> bool:
    """Whether a secret is the one that was hashed.

    Takes as long where there is no hash, so that nobody learns by the clock who has an account.
    """
    try:
        _HASHER.verify(kept_hash or _get_nobodys_hash(), secret)
    except (VerificationError, InvalidHashError):
        return False
    return bool(kept_hash)


def check_password(password: str, *, sign_in_name: str, name: str) -> None:
    """Refuse what would be guessed; raises InvalidInput."""
    if len(password) < SHORTEST_PASSWORD:
        raise InvalidInput(
            f"the password has fewer than {SHORTEST_PASSWORD} characters; take a few words in a row"
        )
    if len(password) > LONGEST_PASSWORD:
        raise InvalidInput(f"the password has more than {LONGEST_PASSWORD} characters; shorten it")
    simple = password.casefold().replace(" ", "")
    if len(set(simple)) < 5 or simple in _repeated(sign_in_name, name):
        raise InvalidInput(
            "the password is easily guessed: few different characters, or the name; take a few "
            "words in a row"
        )


def check_pin(pin: str) -> None:
    """Refuse what is no PIN; raises InvalidInput."""
    is_of_digits = pin.isascii() and pin.isdigit()
    if not is_of_digits or not SHORTEST_PIN <= len(pin) <= LONGEST_PIN:
        raise InvalidInput(f"a PIN has {SHORTEST_PIN} to {LONGEST_PIN} digits and nothing else")
    if len(set(pin)) == 1 or pin in "0123456789" or pin in "9876543210":
        raise InvalidInput("the PIN is easily guessed; do not repeat or count")


def make_token() -> str:
    """A secret that nobody guesses, for a cookie or a link."""
    return secrets.token_urlsafe(TOKEN_BYTES)


def digest_of(token: str) -> str:
    """What is kept of a token: it is random enough for a plain hash."""
    return hashlib.sha256(token.encode()).hexdigest()


def make_form_token(token: str) -> str:
    """What the forms of one sign-in carry, so that no other page can fill them in."""
    return hmac.new(token.encode(), b"couchside form", hashlib.sha256).hexdigest()


def _repeated(sign_in_name: str, name: str) -> set[str]:
    words = {sign_in_name.casefold(), name.casefold().replace(" ", "")} - {""}
    return {word * times for word in words for times in range(1, 5)}


@cache
def _get_nobodys_hash() -> str:
    return _HASHER.hash(make_token())
