"""The department's file that says who signs people on, and what they may do here."""

from __future__ import annotations

import os
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

from couchside.errors import InvalidInput
from couchside.service.owned_files import read_owned_file
from couchside.store.words import Role

SIGN_ON_FILE = "single-sign-on.toml"
"""Under this name it lies in the data folder."""

SECRET_VARIABLE = "COUCHSIDE_CLIENT_SECRET"  # noqa: S105 - the name of a variable
ALGORITHMS = ("RS256", "RS384", "RS512", "PS256", "PS384", "PS512", "ES256", "ES384", "ES512")
"""What may be allowed at all: public keys alone, so that nobody who knows the client secret, or no
secret at all, can sign [RFC8725 3.1, 3.2]."""

USUAL_ALGORITHMS = ("RS256", "PS256", "ES256")
LOOPBACK = frozenset({"127.0.0.1", "localhost", "::1"})
STRONGEST_FIRST = (Role.ADMINISTRATOR, Role.LEAD, Role.RECORDER, Role.READER)
MAX_SECRET_BYTES = 4096

_TEXTS = (
    "issuer", "client_id", "client_secret_file", "label", "name_claim", "sign_in_name_claim",
    "role_claim", "role",
)  # fmt: skip
_LISTS = ("algorithms", "scopes")
_FIELDS = frozenset({*_TEXTS, *_LISTS, "asks_every_time", "roles"})


@dataclass(frozen=True, slots=True, kw_only=True)
class SignOnSettings:
    """Who signs people on.

    Parameters
    ----------
    issuer : str
        The provider's name for itself, an https address, as it stands in its tokens.
    client_id : str
        What the provider calls Couchside.
    client_secret : str
        What Couchside shows to it; empty for a client without one, which PKCE alone protects.
    label : str
        What people here call that account, for the button.
    name_claim, sign_in_name_claim : str
        Where the token says the name that decisions bear, and the short one.
    role_claim : str
        Where it says groups or roles; a dot leads into what is nested.
    roles : mapping of Role to frozenset of str
        Which of those make which role; empty where administrators give roles here.
    role : Role or None
        Where `roles` is empty: what somebody is who comes for the first time.
    scopes, algorithms : tuple of str
        What is asked for; how a token may be signed.
    asks_every_time : bool
        The provider must ask for the password at each sign-in: a browser of a ward is everybody's.
    """

    issuer: str
    client_id: str
    client_secret: str = field(default="", repr=False)
    label: str = "hospital account"
    name_claim: str = "name"
    sign_in_name_claim: str = "preferred_username"
    role_claim: str = "groups"
    roles: Mapping[Role, frozenset[str]] = field(default_factory=dict)
    role: Role | None = None
    scopes: tuple[str, ...] = ("openid", "profile")
    algorithms: tuple[str, ...] = USUAL_ALGORITHMS
    asks_every_time: bool = True


def load_sign_on(data_folder: Path) -> SignOnSettings | None:
    """The file in the data folder; None where there is none.

    Raises InvalidInput, naming the field, where something in it cannot be used.
    """
    path = data_folder / SIGN_ON_FILE
    if not path.is_file():
        return None
    secret = os.environ.get(SECRET_VARIABLE, "")
    return parse_sign_on(read_owned_file(path, "single sign-on file"), secret=secret)


def parse_sign_on(text: str, *, secret: str = "") -> SignOnSettings:
    """Read a single sign-on file; `secret` is the one from the environment, which comes first.

    Raises InvalidInput.
    """
    table = _parse(text)
    _check_fields(table)
    return SignOnSettings(
        issuer=check_address(_get_text(table, "issuer"), "issuer"),
        client_id=_get_text(table, "client_id"),
        client_secret=secret or _read_secret(str(table.get("client_secret_file", ""))),
        roles=_read_roles(table.get("roles", {})),
        role=_read_role(table),
        algorithms=_read_algorithms(table),
        scopes=_read_scopes(table),
        asks_every_time=bool(table.get("asks_every_time", True)),
        **{
            name: _get_text(table, name)
            for name in ("label", "name_claim", "sign_in_name_claim", "role_claim")
            if name in table
        },
    )


def check_address(address: str, what: str) -> str:
    """An address that may be spoken to: https, or this very machine; raises InvalidInput."""
    try:
        parts = urlsplit(address)
        host = parts.hostname
    except ValueError:
        raise _complain(what, f"is {address!r}, which is no address") from None
    is_safe = parts.scheme == "https" or (parts.scheme == "http" and host in LOOPBACK)
    if not is_safe or not host or parts.username or parts.fragment:
        raise _complain(what, f"is {address!r}; it must be an address that begins with https://")
    return address


def _parse(text: str) -> dict[str, object]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InvalidInput(f"{SIGN_ON_FILE} is not TOML: {error}; correct that line") from error


def _check_fields(table: Mapping[str, object]) -> None:
    for name, value in table.items():
        if name == "client_secret":
            raise _complain(
                name,
                "would be copied into every backup; write it into a file of its own and name that "
                f"as client_secret_file, or put it into the environment as {SECRET_VARIABLE}",
            )
        if name not in _FIELDS:
            raise _complain(name, f"is unknown; choose from {', '.join(sorted(_FIELDS))}")
        wanted = str if name in _TEXTS else list if name in _LISTS else None
        if wanted is not None and not isinstance(value, wanted):
            raise _complain(name, "is no text" if wanted is str else "is no list of texts")
    if not isinstance(table.get("asks_every_time", True), bool):
        raise _complain("asks_every_time", "is neither true nor false")
    for name in ("issuer", "client_id"):
        if name not in table:
            raise _complain(name, "is missing; the provider's administrator knows it")


def _get_text(table: Mapping[str, object], name: str) -> str:
    value = str(table[name]).strip()
    if not value:
        raise _complain(name, "is empty")
    return value


def _read_secret(path: str) -> str:
    if not path:
        return ""
    try:
        with Path(path).open("rb") as stream:
            secret = stream.read(MAX_SECRET_BYTES).decode().strip()
    except (OSError, UnicodeDecodeError) as error:
        raise _complain(
            "client_secret_file", f"names {path}, which cannot be read ({error})"
        ) from error
    if not secret:
        raise _complain("client_secret_file", f"names {path}, which is empty")
    return secret


def _read_roles(value: object) -> dict[Role, frozenset[str]]:
    if not isinstance(value, dict):
        raise _complain("roles", "is no table; write [roles] and a line for each role")
    known = {role.value: role for role in Role}
    for name, groups in value.items():
        if name not in known:
            raise _complain(f"roles.{name}", f"is no role; choose from {', '.join(known)}")
        if not isinstance(groups, list) or not all(isinstance(each, str) for each in groups):
            raise _complain(f"roles.{name}", "is no list of texts")
    return {known[name]: frozenset(groups) for name, groups in value.items()}


def _read_role(table: Mapping[str, object]) -> Role | None:
    """The one role of all newcomers; there must be that or the table, not both."""
    if ("role" in table) == ("roles" in table):
        raise _complain(
            "roles",
            "and role cannot both be given" if "role" in table else "is missing",
            "give either [roles], which groups make which role, or role = the one that newcomers "
            "have until an administrator changes it here",
        )
    if "role" not in table:
        return None
    if table["role"] not in list(Role):
        raise _complain("role", f"is {table['role']!r}; choose from {', '.join(Role)}")
    return Role(str(table["role"]))


def _read_algorithms(table: Mapping[str, object]) -> tuple[str, ...]:
    wanted = _read_list(table, "algorithms", USUAL_ALGORITHMS)
    for each in wanted:
        if each not in ALGORITHMS:
            raise _complain("algorithms", f"has {each!r}; choose from {', '.join(ALGORITHMS)}")
    return wanted


def _read_scopes(table: Mapping[str, object]) -> tuple[str, ...]:
    wanted = _read_list(table, "scopes", ("openid", "profile"))
    return wanted if "openid" in wanted else ("openid", *wanted)


def _read_list(table: Mapping[str, object], name: str, usual: tuple[str, ...]) -> tuple[str, ...]:
    value = table.get(name, list(usual))
    if not isinstance(value, list) or not value or not all(isinstance(e, str) for e in value):
        raise _complain(name, "is no list of texts")
    return tuple(value)


def _complain(name: str, fault: str, remedy: str = "") -> InvalidInput:
    return InvalidInput(f"{SIGN_ON_FILE}: {name} {fault}{'; ' if remedy else ''}{remedy}")
