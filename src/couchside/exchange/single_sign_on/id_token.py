"""Whether an ID token is genuine, meant for Couchside, and the answer to this question.

The checks of [OIDC-CORE 3.1.3.7], each with its number; a token that fails one is refused whole.
"""

from __future__ import annotations

import hmac
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from joserfc import jws, jwt
from joserfc.errors import JoseError
from joserfc.jwk import ECKey, Key, RSAKey

from couchside.errors import NotAllowed
from couchside.exchange.single_sign_on.asking import Question

LEEWAY = timedelta(minutes=2)
"""How far two machines' clocks may be apart ["a few minutes" at most, RFC7519 4.1.4]."""

MAX_AGE = timedelta(minutes=10)
LONGEST_SUBJECT = 255
LARGEST_TOKEN = 64_000


class UnknownKey(NotAllowed):
    """The token names a key that is not among those at hand; the provider may have newer ones."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """What a token must say.

    Parameters
    ----------
    issuer, client_id : str
        Who must have made it, and for whom.
    algorithms : tuple of str
        How it may be signed.
    question : Question
        What it must answer.
    now : datetime
        The time, in UTC.
    """

    issuer: str
    client_id: str
    algorithms: tuple[str, ...]
    question: Question
    now: datetime


def check_id_token(token: str, keys: Sequence[Key], expected: Expected) -> Mapping[str, object]:
    """The claims of a token that passes every check.

    Raises NotAllowed, and UnknownKey where no key is at hand that could have signed it.
    """
    claims = _read_signed(token, keys, expected.algorithms)
    _check_parties(claims, expected)
    _check_times(claims, expected)
    nonce = claims.get("nonce")
    if not isinstance(nonce, str) or not _is_same(nonce, expected.question.nonce):  # 11
        raise _refuse("answers another question than this browser's")
    subject = claims.get("sub")
    if not isinstance(subject, str) or not 0 < len(subject) <= LONGEST_SUBJECT:
        raise _refuse("does not say whom it is about")
    return claims


def _read_signed(token: str, keys: Sequence[Key], allowed: tuple[str, ...]) -> dict[str, object]:
    """What was signed, by an allowed algorithm and one of the keys (6, 7, 8)."""
    if len(token) > LARGEST_TOKEN:
        raise _refuse("is too long")
    header = _read_header(token)
    if header.get("alg") not in allowed:
        raise _refuse(f"is signed by {header.get('alg')!r} and not by {' or '.join(allowed)}")
    fitting = _find_keys(keys, header)
    if not fitting:
        raise UnknownKey("the provider's ID token is signed with a key that it does not publish")
    for key in fitting:
        try:
            return dict(jwt.decode(token, key, algorithms=list(allowed)).claims)
        except (JoseError, ValueError):
            continue
    raise _refuse("bears a signature that is not the provider's")


def _read_header(token: str) -> dict[str, object]:
    try:
        return dict(jws.extract_compact(token.encode()).headers())
    except (JoseError, ValueError) as error:
        raise _refuse("is none") from error


def _find_keys(keys: Sequence[Key], header: Mapping[str, object]) -> list[Key]:
    """Keys for signing, of the right kind: the one that is named, else all [RFC7517 4.2, 4.5]."""
    kind = ECKey if str(header["alg"]).startswith("ES") else RSAKey
    fitting: list[Key] = [key for key in keys if isinstance(key, kind) and key.get("use") != "enc"]
    name = header.get("kid")
    return fitting if name is None else [key for key in fitting if key.kid == name]


def _check_parties(claims: Mapping[str, object], expected: Expected) -> None:
    if claims.get("iss") != expected.issuer:  # 2
        raise _refuse(f"was made by {claims.get('iss')!r} and not by {expected.issuer}")
    audience = claims.get("aud")
    if audience not in (expected.client_id, [expected.client_id]):  # 3
        raise _refuse("is meant for another program, or for others too")
    if claims.get("azp", expected.client_id) != expected.client_id:  # 4, 5
        raise _refuse("was given to another program")


def _check_times(claims: Mapping[str, object], expected: Expected) -> None:
    now, question = expected.now, expected.question
    if _get_time(claims, "exp") <= now - LEEWAY:  # 9
        raise _refuse("has expired; are the two machines' clocks right?")
    made_at = _get_time(claims, "iat")
    if not now - MAX_AGE <= made_at <= now + LEEWAY:  # 10
        raise _refuse("was not made just now; are the two machines' clocks right?")
    if "nbf" in claims and _get_time(claims, "nbf") > now + LEEWAY:
        raise _refuse("is not valid yet; are the two machines' clocks right?")
    if question.is_fresh and _get_time(claims, "auth_time") < question.asked_at - LEEWAY:  # 13
        raise _refuse("rests on an earlier sign-in, and the password must be asked for each time")


def _get_time(claims: Mapping[str, object], name: str) -> datetime:
    value = claims.get(name)
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise _refuse(f"does not say {name}")
    try:
        return datetime.fromtimestamp(value, UTC)
    except (OverflowError, ValueError, OSError) as error:
        raise _refuse(f"says an impossible {name}") from error


def _is_same(one: str, other: str) -> bool:
    return hmac.compare_digest(one.encode(), other.encode())


def _refuse(fault: str) -> NotAllowed:
    return NotAllowed(f"the provider's ID token {fault}; nobody was signed in")
