"""The question to the provider, and whether an answer belongs to it [OIDC-CORE 3.1.2, RFC7636]."""

from __future__ import annotations

import base64
import hashlib
import hmac
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from urllib.parse import urlencode

from couchside.errors import NotAllowed
from couchside.exchange.single_sign_on.settings import SignOnSettings

ANSWER_WITHIN = timedelta(minutes=10)
"""So long somebody may take at the provider."""

_AGAIN = "sign in again from the beginning"
_SAID = {
    "access_denied": "the sign-in was refused or given up there",
    "login_required": "nobody was signed in there",
    "temporarily_unavailable": "it cannot sign anybody in just now",
    "server_error": "it made a mistake",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What was asked, to be held against the answer; known to the browser that asks, and to nobody.

    Parameters
    ----------
    state, nonce, verifier : str
        Secrets of this question: the answer brings back the first, the token the second, and the
        third is shown when the code is turned in.
    redirect_uri : str
        Where the answer comes in.
    back : str
        The page that was wanted.
    asked_at : datetime
        When, in UTC.
    is_fresh : bool
        The provider must ask for the password, whoever is signed in there.
    account_id : int or None
        The account here that is to be connected; None for a sign-in.
    """

    state: str
    nonce: str
    verifier: str
    redirect_uri: str
    back: str
    asked_at: datetime
    is_fresh: bool
    account_id: int | None = None


def make_question(
    *,
    redirect_uri: str,
    back: str,
    asked_at: datetime,
    is_fresh: bool,
    account_id: int | None = None,
) -> Question:
    """A question with secrets of its own, 256 bits each."""
    return Question(
        state=secrets.token_urlsafe(32),
        nonce=secrets.token_urlsafe(32),
        verifier=secrets.token_urlsafe(32),
        redirect_uri=redirect_uri,
        back=back,
        asked_at=asked_at,
        is_fresh=is_fresh,
        account_id=account_id,
    )


def make_question_url(endpoint: str, settings: SignOnSettings, question: Question) -> str:
    """Where the browser is sent to."""
    wanted = {
        "response_type": "code",
        "client_id": settings.client_id,
        "redirect_uri": question.redirect_uri,
        "scope": " ".join(settings.scopes),
        "state": question.state,
        "nonce": question.nonce,
        "code_challenge": make_challenge(question.verifier),
        "code_challenge_method": "S256",
    }
    if question.is_fresh:
        wanted |= {"prompt": "login", "max_age": "0"}
    return f"{endpoint}{'&' if '?' in endpoint else '?'}{urlencode(wanted)}"


def make_challenge(verifier: str) -> str:
    """What may be seen of a verifier [RFC7636 4.2]."""
    digest = hashlib.sha256(verifier.encode("ascii")).digest()
    return base64.urlsafe_b64encode(digest).rstrip(b"=").decode("ascii")


def check_answer(
    answer: Mapping[str, str],
    question: Question,
    *,
    issuer: str,
    names_issuer: bool,
    now: datetime,
) -> str:
    """The code that an answer brings.

    Parameters
    ----------
    answer : mapping of str to str
        The fields with which the browser came back.
    question : Question
        What was asked from that browser.
    issuer : str
        Whose answer it must be [RFC9207].
    names_issuer : bool
        Whether that provider always says so.
    now : datetime
        The time, in UTC.

    Raises
    ------
    NotAllowed
        If the answer is no answer to this question, comes too late, or is a refusal.
    """
    if not hmac.compare_digest(answer.get("state", "").encode(), question.state.encode()):
        raise NotAllowed(f"this answer belongs to another sign-in; {_AGAIN}")
    if now - question.asked_at > ANSWER_WITHIN:
        raise NotAllowed(f"the sign-in took more than ten minutes; {_AGAIN}")
    if answer.get("iss", issuer if not names_issuer else "") != issuer:
        raise NotAllowed(f"this answer comes from another provider; {_AGAIN}")
    if "error" in answer:
        said = _SAID.get(answer["error"], "it refused, and whoever keeps it can say why")
        raise NotAllowed(f"the provider signed nobody in: {said}; {_AGAIN}, or with a password")
    if not answer.get("code"):
        raise NotAllowed(f"the provider's answer has no code; {_AGAIN}")
    return answer["code"]
