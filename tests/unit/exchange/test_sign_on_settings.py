"""The department's single sign-on file."""

from __future__ import annotations

from pathlib import Path

import pytest

from couchside.errors import InvalidInput, NotAllowed
from couchside.exchange.single_sign_on.asking import make_challenge
from couchside.exchange.single_sign_on.person import make_person
from couchside.exchange.single_sign_on.settings import (
    SECRET_VARIABLE,
    SIGN_ON_FILE,
    load_sign_on,
    parse_sign_on,
)
from couchside.store.words import Role

START = 'issuer = "https://login.example/ward"\nclient_id = "couchside"\n'
WHOLE = START + '[roles]\nreader = ["cardiology"]\nlead = ["ecg-leads", "heads"]\n'


def test_no_file_is_no_single_sign_on(tmp_path: Path) -> None:
    assert load_sign_on(tmp_path) is None


def test_the_secret_lies_in_a_file_of_its_own_or_in_the_environment(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    secret = tmp_path / "secret"
    secret.write_text("from the file\n")
    (tmp_path / SIGN_ON_FILE).write_text(f'client_secret_file = "{secret}"\n{WHOLE}')
    settings = load_sign_on(tmp_path)
    assert settings is not None
    assert settings.client_secret == "from the file"
    assert "from the file" not in repr(settings)
    assert settings.roles[Role.LEAD] == {"ecg-leads", "heads"}
    monkeypatch.setenv(SECRET_VARIABLE, "from the environment")
    settings = load_sign_on(tmp_path)
    assert settings is not None
    assert settings.client_secret == "from the environment"


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("issuer =", "is not TOML"),
        ('client_id = "x"\nrole = "reader"', "issuer is missing"),
        (START, "roles is missing; give either"),
        (f'role = "reader"\n{WHOLE}', "cannot both be given"),
        (f'{START}role = "owner"', "role is 'owner'; choose from"),
        (f"{START}[roles]\nowner = []", "roles.owner is no role"),
        (f'{START}[roles]\nlead = "x"', "roles.lead is no list"),
        (f'client_secret = "x"\n{WHOLE}', "would be copied into every backup"),
        (f'client_secret_file = "/nowhere"\n{WHOLE}', "cannot be read"),
        (f'colour = "x"\n{WHOLE}', "colour is unknown"),
        (f"label = 3\n{WHOLE}", "label is no text"),
        (f'label = " "\n{WHOLE}', "label is empty"),
        (f'asks_every_time = "no"\n{WHOLE}', "neither true nor false"),
        (f'algorithms = ["none"]\n{WHOLE}', "algorithms has 'none'"),
        (f'algorithms = ["HS256"]\n{WHOLE}', "algorithms has 'HS256'"),
        (f"scopes = []\n{WHOLE}", "scopes is no list"),
        (WHOLE.replace("https", "http"), "must be an address that begins with https"),
        (WHOLE.replace("https://login", "https://user@login"), "must be an address"),
        (WHOLE.replace("https://login.example/ward", "https://[x"), "which is no address"),
    ],
)
def test_a_mistake_is_named_with_its_field(text: str, sentence: str) -> None:
    with pytest.raises(InvalidInput) as refused:
        parse_sign_on(text)
    assert sentence in str(refused.value)


@pytest.mark.parametrize(
    ("claims", "role"),
    [
        ({"groups": ["cardiology", "heads"]}, Role.LEAD),
        ({"groups": "cardiology"}, Role.READER),
        ({"groups": []}, None),
        ({"groups": {"cardiology": 1}}, None),
        ({}, None),
    ],
)
def test_the_strongest_group_makes_the_role(claims: dict[str, object], role: Role | None) -> None:
    settings = parse_sign_on(WHOLE)
    said = claims | {"sub": "1", "name": "Ada  Quill", "preferred_username": "Äda.Q@Example"}
    if role is None:
        with pytest.raises(NotAllowed, match="in no group"):
            make_person(said, settings)
        return
    person = make_person(said, settings)
    assert (person.role, person.name, person.sign_in_name) == (role, "Ada Quill", "da.q@example")
    assert person.identity == "https://login.example/ward 1"


def test_groups_may_be_nested() -> None:
    settings = parse_sign_on(WHOLE.replace("[roles]", 'role_claim = "access.roles"\n[roles]'))
    said = {"sub": "1", "name": "Ada", "preferred_username": "ada"}
    assert make_person(said | {"access": {"roles": ["heads"]}}, settings).role is Role.LEAD
    assert make_person(said | {"access.roles": ["cardiology"]}, settings).role is Role.READER


def test_openid_is_always_asked_for() -> None:
    settings = parse_sign_on(f'scopes = ["profile", "groups"]\n{WHOLE}')
    assert settings.scopes == ("openid", "profile", "groups")


def test_the_challenge_is_that_of_the_standard() -> None:
    """RFC 7636, appendix B."""
    verifier = "dBjftJeZ4CVP-mB92K27uhbUJU1p1r_wW1gFWFOEjXk"
    assert make_challenge(verifier) == "E9Melhoa2OwvFrEMTJguCHaoeK1t8URWbuGJSstw-cM"
