"""Who somebody is by their ID token, and what they may be here."""

from __future__ import annotations

import re
from collections.abc import Mapping

from couchside.errors import NotAllowed
from couchside.exchange.single_sign_on.settings import STRONGEST_FIRST, SignOnSettings
from couchside.service.signing_in_elsewhere import PersonElsewhere
from couchside.store.words import Role

LONGEST_SIGN_IN_NAME = 64
_NO_SIGN = re.compile(r"[^a-z0-9._@-]+")


def make_person(claims: Mapping[str, object], settings: SignOnSettings) -> PersonElsewhere:
    """The person of a checked token.

    Raises NotAllowed where no group of theirs has a role here, or the token says no name.
    """
    name = _get_words(claims, settings.name_claim)
    return PersonElsewhere(
        issuer=settings.issuer,
        subject=str(claims["sub"]),
        sign_in_name=_make_sign_in_name(_get_words(claims, settings.sign_in_name_claim)),
        name=name,
        role=_choose_role(claims, settings, name),
        is_role_by_provider=settings.role is None,
    )


def _choose_role(claims: Mapping[str, object], settings: SignOnSettings, name: str) -> Role:
    """The strongest role that a group of theirs makes."""
    if settings.role is not None:
        return settings.role
    groups = _list_groups(claims, settings.role_claim)
    for role in STRONGEST_FIRST:
        if groups & settings.roles.get(role, frozenset()):
            return role
    found = "none" if groups else f"nothing under {settings.role_claim!r}"
    raise NotAllowed(
        f"{name} is in no group that may use Couchside: the provider names {found} of the groups "
        "that have a role here; ask whoever keeps the groups"
    )


def _list_groups(claims: Mapping[str, object], path: str) -> frozenset[str]:
    """Groups by the claim of that very name, else by the nested one that dots lead to."""
    value: object = claims.get(path)
    if value is None:
        value = claims
        for step in path.split("."):
            value = value.get(step) if isinstance(value, Mapping) else None
    listed = value if isinstance(value, list) else [value]
    return frozenset(each for each in listed if isinstance(each, str))


def _get_words(claims: Mapping[str, object], claim: str) -> str:
    value = claims.get(claim)
    words = " ".join(value.split()) if isinstance(value, str) else ""
    if not words:
        raise NotAllowed(
            f"the provider's ID token does not say {claim!r}; whoever keeps the provider can add "
            "it, or name another claim in single-sign-on.toml"
        )
    return words


def _make_sign_in_name(stated: str) -> str:
    """The stated name in the letters that a sign-in name may have."""
    return _NO_SIGN.sub("-", stated.casefold()).strip("-._@")[:LONGEST_SIGN_IN_NAME]
