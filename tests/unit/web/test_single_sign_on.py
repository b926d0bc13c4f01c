"""Single sign-on against a real provider on the loopback address, honest and not."""

from __future__ import annotations

import hashlib
import hmac
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta
from urllib.parse import parse_qs, urlencode, urlsplit

import pytest
from fastapi.testclient import TestClient
from httpx2 import Response
from tests.identity_provider import (
    CLIENT,
    SECRET,
    Claims,
    IdentityProvider,
    SigningKey,
    encode,
    encode_json,
    run_provider,
)

from couchside.exchange.single_sign_on import SignOnSettings
from couchside.service import Desk
from couchside.service.accounts import NewAccount, add_account, change_account, list_people
from couchside.service.inviting import accept, invite
from couchside.service.passwords import make_form_token
from couchside.service.trail import list_trail
from couchside.store.words import Role
from couchside.web import create_app

ADDRESS = "http://127.0.0.1:8377"
PASSWORD = "three quiet herons"
ROLES = {
    Role.RECORDER: frozenset({"ecg-recorders"}),
    Role.ADMINISTRATOR: frozenset({"ecg-administrators"}),
}


@pytest.fixture(scope="module")
def running() -> Iterator[IdentityProvider]:
    with run_provider() as provider:
        yield provider


@pytest.fixture(scope="module")
def first_key() -> SigningKey:
    return SigningKey("first", "RS256")


@pytest.fixture
def provider(running: IdentityProvider, first_key: SigningKey) -> IdentityProvider:
    """Honest again, whatever a test before has made of it."""
    fresh = IdentityProvider(issuer=running.issuer, key=first_key)
    for name in vars(fresh):
        setattr(running, name, getattr(fresh, name))
    return running


@pytest.fixture
def settings(provider: IdentityProvider) -> SignOnSettings:
    return SignOnSettings(
        issuer=provider.issuer, client_id=CLIENT, client_secret=SECRET, roles=ROLES
    )


@pytest.fixture
def browser(desk: Desk, settings: SignOnSettings) -> TestClient:
    return open_browser(desk, settings)


def open_browser(desk: Desk, settings: SignOnSettings) -> TestClient:
    return TestClient(create_app(desk, sign_on=settings), base_url=ADDRESS, follow_redirects=False)


def go_there(browser: TestClient, provider: IdentityProvider, start: str = "") -> str:
    """To the provider, and the address with which it sends the browser back."""
    sent = browser.get(start or "/single-sign-on?back=/settings")
    assert sent.status_code == 303, sent.text
    return provider.authorize(sent.headers["location"])


def come_in(browser: TestClient, provider: IdentityProvider, start: str = "") -> Response:
    return browser.get(go_there(browser, provider, start))


def test_somebody_new_gets_an_account_by_issuer_and_subject(
    desk: Desk, browser: TestClient, provider: IdentityProvider
) -> None:
    assert "Sign in with your hospital account" in browser.get("/sign-in").text
    answer = come_in(browser, provider)
    assert (answer.status_code, answer.headers["location"]) == (303, "/settings")
    assert "Ada Quill" in browser.get("/settings").text
    (ada,) = list_people(desk)
    assert (ada.sign_in_name, ada.role, ada.has_password) == ("ada", Role.RECORDER, False)
    deeds = [(each.what, each.who, each.account) for each in list_trail(desk, count=3)][:2]
    assert deeds == [("added", "Ada Quill", "ada"), ("signed in", "Ada Quill", "ada")]
    (question,) = provider.questions
    assert (question["prompt"], question["max_age"]) == ("login", "0")
    assert len(question["state"]) >= 43
    assert len(question["nonce"]) >= 43


def test_who_comes_again_is_the_same_whatever_name_and_address_they_bear(
    desk: Desk, settings: SignOnSettings, browser: TestClient, provider: IdentityProvider
) -> None:
    come_in(browser, provider)
    provider.person |= {"name": "Ada Fernhollow", "preferred_username": "afernhollow"}
    provider.person |= {"email": "else@hospital.example", "groups": ["ecg-administrators"]}
    come_in(open_browser(desk, settings), provider)
    (ada,) = list_people(desk)
    assert (ada.name, ada.role) == ("Ada Quill", Role.ADMINISTRATOR)
    assert "changed account" in [each.what for each in list_trail(desk, count=5)]


def test_another_subject_of_the_same_address_is_another_person(
    desk: Desk, settings: SignOnSettings, browser: TestClient, provider: IdentityProvider
) -> None:
    come_in(browser, provider)
    provider.person |= {"sub": "8a1", "preferred_username": "ada2"}
    come_in(open_browser(desk, settings), provider)
    assert [each.name for each in list_people(desk)] == ["Ada Quill", "Ada Quill (ada2)"]


def test_a_local_account_is_never_taken_over_by_its_name(
    desk: Desk, settings: SignOnSettings, browser: TestClient, provider: IdentityProvider
) -> None:
    token = make_local(desk, "ada", "Ada Local")
    answer = come_in(browser, provider)
    assert answer.status_code == 422
    assert "another account here has the sign-in name ada" in answer.text.lower()
    browser.cookies.set("couchside", token)
    browser.headers["x-form-token"] = make_form_token(token)
    assert "Connect with your hospital account" in browser.get("/account").text
    answer = come_in(browser, provider, "/single-sign-on/connect")
    assert (answer.status_code, answer.headers["location"]) == (303, "/account?saved=yes")
    other = open_browser(desk, settings)
    assert come_in(other, provider).status_code == 303
    assert "Ada Local" in other.get("/settings").text
    assert other.post("/sign-out", headers=token_of(other)).status_code == 303
    typed = {"sign_in_name": "ada", "password": PASSWORD}
    assert other.post("/sign-in", data=typed).status_code == 303, "the password still works"


def test_an_identity_is_connected_once_and_only_by_whoever_is_signed_in(
    desk: Desk, browser: TestClient, provider: IdentityProvider
) -> None:
    assert browser.get("/single-sign-on/connect").status_code == 403
    come_in(browser, provider)
    browser.cookies.clear()
    browser.cookies.set("couchside", make_local(desk, "bea", "Bea Local"))
    answer = come_in(browser, provider, "/single-sign-on/connect")
    assert (answer.status_code, "how Ada Quill signs in" in answer.text) == (422, True)


def test_a_closed_account_stays_out(
    desk: Desk, settings: SignOnSettings, browser: TestClient, provider: IdentityProvider
) -> None:
    make_local(desk, "percy", "Percy Local", Role.ADMINISTRATOR)
    come_in(browser, provider)
    ada = next(each for each in list_people(desk) if each.sign_in_name == "ada")
    change_account(desk, ada.id, role=ada.role, is_active=False)
    assert browser.get("/round").headers["location"].startswith("/sign-in")
    answer = come_in(browser, provider)
    assert (answer.status_code, "is closed" in answer.text) == (403, True)
    assert list_trail(desk, count=1)[0].what == "was refused sign-in"


def test_who_is_in_no_group_stays_out(
    desk: Desk, browser: TestClient, provider: IdentityProvider
) -> None:
    provider.person["groups"] = ["kitchen"]
    answer = come_in(browser, provider)
    assert (answer.status_code, "in no group that may use" in answer.text) == (403, True)
    assert list_people(desk) == ()


def test_the_lock_is_left_by_the_same_way_with_the_password_asked_for(
    desk: Desk, settings: SignOnSettings, provider: IdentityProvider
) -> None:
    browser = open_browser(desk, replace(settings, asks_every_time=False))
    come_in(browser, provider)
    assert "prompt" not in provider.questions[-1]
    browser.post("/lock", headers=token_of(browser))
    assert "Come back with your hospital account" in browser.get("/locked?back=/round").text
    provider.said["auth_time"] = int(time.time()) - 3600
    answer = come_in(browser, provider, "/single-sign-on?back=/round")
    assert "rests on an earlier sign-in" in answer.text
    assert browser.get("/round").headers["location"].startswith("/locked")
    provider.said.clear()
    assert come_in(browser, provider, "/single-sign-on?back=/round").status_code == 303
    assert provider.questions[-1]["prompt"] == "login"
    assert browser.get("/round").status_code == 200


def test_a_pin_is_set_soon_after_signing_in(
    desk: Desk, settings: SignOnSettings, provider: IdentityProvider
) -> None:
    later = [timedelta(0)]
    browser = open_browser(replace(desk, clock=lambda: desk.now() + later[0]), settings)
    come_in(browser, provider)
    page = token_of(browser)
    assert browser.post("/account/pin", data={"pin": "2580"}, headers=page).status_code == 303
    browser.post("/lock", headers=page)
    assert browser.post("/locked", data={"secret": "2580"}, headers=page).status_code == 303
    later[0] = timedelta(minutes=9)
    browser.post("/awake", headers=page)
    later[0] = timedelta(minutes=11)
    refused = browser.post("/account/pin", data={"pin": "1357"}, headers=page)
    assert (refused.status_code, "sign out and in again" in refused.text) == (403, True)


def test_signing_out_offers_to_sign_out_there_too(
    browser: TestClient, provider: IdentityProvider
) -> None:
    come_in(browser, provider)
    left = browser.post("/sign-out", headers=token_of(browser)).headers["location"]
    assert "Sign out of your hospital account too" in browser.get(left).text
    assert browser.get("/single-sign-on/end").headers["location"] == f"{provider.issuer}/end"


def test_keys_may_change_between_two_sign_ins(
    desk: Desk, settings: SignOnSettings, provider: IdentityProvider
) -> None:
    later = [timedelta(0)]
    browser = open_browser(replace(desk, clock=lambda: desk.now() + later[0]), settings)
    come_in(browser, provider)
    provider.published = [provider.key, second := SigningKey("second", "ES256")]
    provider.key = second
    answer = come_in(browser, provider)
    assert "does not publish" in answer.text, "keys are not fetched at every made-up token"
    later[0] = timedelta(seconds=40)
    assert come_in(browser, provider).status_code == 303


def sign_by_nothing(claims: Claims) -> str:
    return f"{encode_json({'alg': 'none'})}.{encode_json(claims)}."


def sign_by_secret(claims: Claims) -> str:
    content = f"{encode_json({'alg': 'HS256'})}.{encode_json(claims)}"
    return f"{content}.{encode(hmac.digest(SECRET.encode(), content.encode(), hashlib.sha256))}"


def sign_by_own_key(claims: Claims) -> str:
    return IdentityProvider(key=SigningKey("first", "RS256")).sign(claims)


def sign_by_a_key_that_it_brings(claims: Claims) -> str:
    thief = SigningKey("first", "RS256")
    return IdentityProvider(key=thief, header={"jwk": thief.publish()}).sign(claims)


@pytest.mark.parametrize(
    ("make_token", "sentence"),
    [
        (sign_by_nothing, "signed by"),
        (sign_by_secret, "signed by"),
        (sign_by_own_key, "is not the provider"),
        (sign_by_a_key_that_it_brings, "token is none"),
        (lambda _: "no.token", "token is none"),
        (lambda _: "a.b.c", "token is none"),
        (lambda _: "x" * 70_000, "is too long"),
    ],
)
def test_a_token_that_is_not_the_providers_is_refused(
    desk: Desk,
    browser: TestClient,
    provider: IdentityProvider,
    make_token: Callable[[Claims], str],
    sentence: str,
) -> None:
    provider.make_token = make_token
    assert_refused(desk, come_in(browser, provider), sentence)


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"nonce": "another"}, "answers another question"),
        ({"nonce": None}, "answers another question"),
        ({"aud": "another"}, "meant for another program"),
        ({"aud": [CLIENT, "another"]}, "meant for another program"),
        ({"azp": "another"}, "given to another program"),
        ({"iss": "https://evil.example"}, "was made by"),
        ({"exp": 1_000_000}, "has expired"),
        ({"exp": "never"}, "does not say exp"),
        ({"exp": 1e300}, "impossible exp"),
        ({"iat": 1_000_000}, "not made just now"),
        ({"nbf": 32_000_000_000}, "not valid yet"),
        ({"auth_time": 1_000_000}, "earlier sign-in"),
        ({"auth_time": None}, "does not say auth_time"),
        ({"sub": ""}, "whom it is about"),
        ({"sub": "x" * 256}, "whom it is about"),
        ({"name": " "}, "does not say"),
    ],
)
def test_a_token_that_says_something_wrong_is_refused(
    desk: Desk, browser: TestClient, provider: IdentityProvider, said: Claims, sentence: str
) -> None:
    provider.said |= said
    assert_refused(desk, come_in(browser, provider), sentence)


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"state": "another"}, "belongs to another sign-in"),
        ({"iss": "https://evil.example"}, "comes from another provider"),
        ({"iss": None}, "comes from another provider"),
        ({"code": None}, "has no code"),
        ({"code": "made up"}, "used already or took too long"),
        ({"error": "access_denied"}, "refused or given up"),
    ],
)
def test_an_answer_that_is_none_to_this_question_is_refused(
    desk: Desk,
    browser: TestClient,
    provider: IdentityProvider,
    change: dict[str, str | None],
    sentence: str,
) -> None:
    back, _, query = go_there(browser, provider).partition("?")
    fields = {name: values[0] for name, values in parse_qs(query).items()} | change
    kept = {name: value for name, value in fields.items() if value is not None}
    assert_refused(desk, browser.get(f"{back}?{urlencode(kept)}"), sentence)


def test_a_code_works_once_and_only_in_the_browser_that_asked(
    desk: Desk, settings: SignOnSettings, browser: TestClient, provider: IdentityProvider
) -> None:
    back = go_there(browser, provider)
    thief = open_browser(desk, settings)
    assert_refused(desk, thief.get(back), "has asked nothing")
    go_there(thief, provider)
    assert_refused(desk, thief.get(back), "belongs to another sign-in")
    sealed = browser.cookies["couchside-question"]
    assert browser.get(back).status_code == 303
    assert "its question is used up" in browser.get(back).text
    browser.cookies.set("couchside-question", sealed)
    assert "used already or took too long" in browser.get(back).text


def test_who_takes_too_long_begins_again(
    desk: Desk, settings: SignOnSettings, provider: IdentityProvider
) -> None:
    later = [timedelta(0)]
    browser = open_browser(replace(desk, clock=lambda: desk.now() + later[0]), settings)
    back = go_there(browser, provider)
    later[0] = timedelta(minutes=11)
    assert_refused(desk, browser.get(back), "more than ten minutes")


@pytest.mark.parametrize("back", ["//evil.example", "https://evil.example", "/\\evil.example"])
def test_nobody_is_led_to_another_site(
    browser: TestClient, provider: IdentityProvider, back: str
) -> None:
    answer = come_in(browser, provider, f"/single-sign-on?{urlencode({'back': back})}")
    assert answer.headers["location"] == "/round"


@pytest.mark.parametrize(
    ("description", "sentence"),
    [
        ({"issuer": "https://evil.example"}, "must be the same to the letter"),
        ({"authorization_endpoint": "http://evil.example/"}, "begins with no https"),
        ({"token_endpoint": None}, "begins with no https"),
    ],
)
def test_a_provider_that_describes_itself_wrongly_is_not_asked(
    browser: TestClient, provider: IdentityProvider, description: Claims, sentence: str
) -> None:
    provider.description |= description
    answer = browser.get("/single-sign-on")
    assert (answer.status_code, sentence in answer.text) == (502, True)


def test_a_provider_that_is_away_leaves_the_password(desk: Desk, settings: SignOnSettings) -> None:
    make_local(desk, "percy", "Percy Local", Role.ADMINISTRATOR)
    browser = open_browser(desk, replace(settings, issuer="http://127.0.0.1:9"))
    answer = browser.get("/single-sign-on")
    assert (answer.status_code, "does not answer" in answer.text) == (502, True)
    typed = {"sign_in_name": "percy", "password": PASSWORD}
    assert browser.post("/sign-in", data=typed).status_code == 303


def test_a_wrong_secret_is_told_from_a_wrong_person(
    desk: Desk, settings: SignOnSettings, provider: IdentityProvider
) -> None:
    browser = open_browser(desk, replace(settings, client_secret="not this one"))
    answer = come_in(browser, provider)
    assert (answer.status_code, "does not accept client_id" in answer.text) == (502, True)


def test_the_question_is_unreadable_on_its_way_and_bound_to_pkce(
    browser: TestClient, provider: IdentityProvider
) -> None:
    sent = browser.get("/single-sign-on")
    cookie = sent.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=lax" in cookie
    question = parse_qs(urlsplit(sent.headers["location"]).query)
    assert question["code_challenge_method"] == ["S256"]
    assert question["state"][0] not in cookie
    provider.codes.clear()


def test_without_a_provider_there_is_no_such_way(desk: Desk, client: TestClient) -> None:
    assert client.get("/single-sign-on").status_code == 404
    assert "hospital account" not in client.get("/sign-in").text


def assert_refused(desk: Desk, answer: Response, sentence: str) -> None:
    assert answer.status_code == 403, answer.text
    assert sentence in answer.text
    assert "couchside=" not in answer.headers.get("set-cookie", "").replace(
        "couchside-question", ""
    )
    assert list_people(desk) == ()


def make_local(desk: Desk, sign_in_name: str, name: str, role: Role = Role.RECORDER) -> str:
    account = add_account(desk, NewAccount(sign_in_name=sign_in_name, name=name, role=role))
    return accept(desk, invite(desk, account.id), password=PASSWORD)


def token_of(browser: TestClient) -> dict[str, str]:
    return {"x-form-token": make_form_token(browser.cookies["couchside"])}
