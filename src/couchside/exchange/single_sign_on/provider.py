"""Speaks with the provider: its own description, its keys, and a code for a token."""

from __future__ import annotations

import base64
import json
import ssl
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from threading import Lock
from urllib.parse import quote, urlencode, urlsplit

import httpx2
from joserfc.errors import JoseError
from joserfc.jwk import Key, KeySet

from couchside.errors import InvalidInput, NotAllowed, RemoteProtocolError
from couchside.exchange.single_sign_on.asking import Question
from couchside.exchange.single_sign_on.id_token import Expected, UnknownKey, check_id_token
from couchside.exchange.single_sign_on.person import make_person
from couchside.exchange.single_sign_on.settings import SignOnSettings, check_address
from couchside.service.signing_in_elsewhere import PersonElsewhere

DESCRIBED_AT = "/.well-known/openid-configuration"
TIMEOUT_S = 10.0
LARGEST_ANSWER_BYTES = 1_000_000
KEPT_FOR = timedelta(hours=1)
ASKED_AGAIN_AFTER = timedelta(seconds=30)
"""A token with an unknown key makes the keys be fetched again, but not at every made-up token."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Description:
    """What a provider says of itself [OIDC-DISCOVERY 3].

    `ends_at` is where one signs out there, empty where one cannot; `takes_basic` says how it wants
    the client's secret shown; `names_issuer` that each of its answers says whose it is [RFC9207].
    """

    asks_at: str
    turns_in_at: str
    keys_at: str
    ends_at: str
    takes_basic: bool
    names_issuer: bool


class Provider:
    """One provider; what it says and its keys are kept for a while, and threads may share it."""

    def __init__(self, settings: SignOnSettings, *, now: Callable[[], datetime]) -> None:
        self.settings = settings
        self._now = now
        self._lock = Lock()
        self._description: tuple[datetime, Description] | None = None
        self._keys: tuple[datetime, tuple[Key, ...]] | None = None

    def describe(self) -> Description:
        """Its own description; raises RemoteProtocolError."""
        with self._lock:
            if self._description is None or self._is_older(self._description[0], KEPT_FOR):
                self._description = (self._now(), self._fetch_description())
            return self._description[1]

    def turn_in(self, code: str, question: Question) -> PersonElsewhere:
        """Who it is that the provider has signed in.

        Raises NotAllowed where code or token are refused, RemoteProtocolError where the provider
        does not answer or not by the standard.
        """
        token = self._fetch_token(code, question)
        expected = Expected(
            issuer=self.settings.issuer,
            client_id=self.settings.client_id,
            algorithms=self.settings.algorithms,
            question=question,
            now=self._now(),
        )
        try:
            claims = check_id_token(token, self._get_keys(KEPT_FOR), expected)
        except UnknownKey:  # it may have changed its keys [OIDC-CORE 10.1.1]
            claims = check_id_token(token, self._get_keys(ASKED_AGAIN_AFTER), expected)
        return make_person(claims, self.settings)

    def _fetch_description(self) -> Description:
        said = self._ask("GET", self.settings.issuer.rstrip("/") + DESCRIBED_AT)
        if said.get("issuer") != self.settings.issuer:  # [OIDC-DISCOVERY 4.3]
            raise RemoteProtocolError(
                f"the provider calls itself {said.get('issuer')!r}, and single-sign-on.toml calls "
                f"it {self.settings.issuer!r}; they must be the same to the letter"
            )
        ways = said.get("token_endpoint_auth_methods_supported", ["client_secret_basic"])
        return Description(
            asks_at=_get_address(said, "authorization_endpoint"),
            turns_in_at=_get_address(said, "token_endpoint"),
            keys_at=_get_address(said, "jwks_uri"),
            ends_at=_get_address(said, "end_session_endpoint")
            if "end_session_endpoint" in said
            else "",
            takes_basic=not isinstance(ways, list) or "client_secret_basic" in ways,
            names_issuer=said.get("authorization_response_iss_parameter_supported") is True,
        )

    def _get_keys(self, kept_for: timedelta) -> tuple[Key, ...]:
        keys_at = self.describe().keys_at
        with self._lock:
            if self._keys is None or self._is_older(self._keys[0], kept_for):
                self._keys = (self._now(), _read_keys(self._ask("GET", keys_at)))
            return self._keys[1]

    def _fetch_token(self, code: str, question: Question) -> str:
        """Turn the code in [OIDC-CORE 3.1.3.1, RFC7636 4.5]."""
        description = self.describe()
        form = {
            "grant_type": "authorization_code",
            "code": code,
            "redirect_uri": question.redirect_uri,
            "code_verifier": question.verifier,
        }
        headers, fields = _show_client(self.settings, description)
        content = urlencode(form | fields).encode()
        token = self._ask("POST", description.turns_in_at, content=content, headers=headers).get(
            "id_token"
        )
        if not isinstance(token, str):
            raise RemoteProtocolError("the provider gave no ID token; is openid among its scopes?")
        return token

    def _ask(
        self,
        method: str,
        address: str,
        *,
        content: bytes = b"",
        headers: Mapping[str, str] | None = None,
    ) -> dict[str, object]:
        try:
            with _open_client() as client:
                return _read_answer(client, method, address, content, headers or {})
        except (httpx2.HTTPError, httpx2.InvalidURL, OSError) as error:
            raise RemoteProtocolError(
                f"the provider at {urlsplit(address).netloc} does not answer "
                f"({str(error) or type(error).__name__}); try again, or sign in with a password if "
                "you have one"
            ) from error

    def _is_older(self, moment: datetime, age: timedelta) -> bool:
        return self._now() - moment >= age


def _open_client() -> httpx2.Client:
    """A client that trusts whom this machine trusts, and is led nowhere else."""
    return httpx2.Client(
        verify=ssl.create_default_context(), timeout=TIMEOUT_S, follow_redirects=False
    )


def _read_answer(
    client: httpx2.Client, method: str, address: str, content: bytes, headers: Mapping[str, str]
) -> dict[str, object]:
    with client.stream(method, address, content=content, headers=dict(headers)) as answer:
        body = bytearray()
        for part in answer.iter_bytes():
            body += part
            if len(body) > LARGEST_ANSWER_BYTES:
                raise RemoteProtocolError(
                    "the provider answers with more than 1 MB; ask its keeper"
                )
    said = _parse(bytes(body))
    if answer.status_code == httpx2.codes.OK and said is not None:
        return said
    raise _explain(answer.status_code, said or {})


def _parse(body: bytes) -> dict[str, object] | None:
    try:
        said = json.loads(body)
    except ValueError:
        return None
    return said if isinstance(said, dict) else None


def _explain(status: int, said: Mapping[str, object]) -> NotAllowed | RemoteProtocolError:
    """Why there is no token [RFC6749 5.2]."""
    fault = said.get("error")
    if fault == "invalid_grant":
        return NotAllowed(
            "the provider does not take this sign-in any more, for it was used already or took "
            "too long; sign in again from the beginning"
        )
    if fault in {"invalid_client", "unauthorized_client"}:
        return RemoteProtocolError(
            "the provider does not accept client_id and secret; whoever keeps Couchside here must "
            "correct them"
        )
    return RemoteProtocolError(
        f"the provider answers with status {status} and not by the standard; whoever keeps "
        "Couchside here should look at single-sign-on.toml"
    )


def _show_client(
    settings: SignOnSettings, description: Description
) -> tuple[dict[str, str], dict[str, str]]:
    """Headers and fields that show name and secret, as the provider wants it [RFC6749 2.3.1]."""
    headers = {"content-type": "application/x-www-form-urlencoded", "accept": "application/json"}
    name, secret = settings.client_id, settings.client_secret
    if not secret:
        return headers, {"client_id": name}
    if not description.takes_basic:
        return headers, {"client_id": name, "client_secret": secret}
    pair = f"{quote(name, safe='')}:{quote(secret, safe='')}".encode()
    return headers | {"authorization": f"Basic {base64.b64encode(pair).decode()}"}, {}


def _read_keys(said: Mapping[str, object]) -> tuple[Key, ...]:
    """The keys of a set; those of a kind that is unknown here are passed over [RFC7517 5]."""
    try:
        return tuple(KeySet.import_key_set(said))  # type: ignore[arg-type]
    except (JoseError, KeyError, TypeError, ValueError, AttributeError) as error:
        raise RemoteProtocolError(
            "the provider publishes keys that cannot be used; ask whoever keeps it"
        ) from error


def _get_address(said: Mapping[str, object], name: str) -> str:
    address = said.get(name)
    try:
        return check_address(address if isinstance(address, str) else "", name)
    except InvalidInput as error:
        raise RemoteProtocolError(
            f"the provider's {name} is {address!r}, which begins with no https://; ask its keeper"
        ) from error
