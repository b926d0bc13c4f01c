"""The doors: sign-in, one-time links, the lock and the way back, password and PIN."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest
from fastapi.testclient import TestClient

from couchside.service import Desk
from couchside.service.accounts import Account, list_people
from couchside.service.inviting import invite, invite_first
from couchside.service.playing import play, prepare_cast
from couchside.service.trail import list_trail
from couchside.store.words import Role
from couchside.web import create_app
from couchside.web.entrance import Entrance
from couchside.web.views.sign_in import keep_inside

ComeAs = Callable[[Role | None], TestClient]
ADDRESS = "http://127.0.0.1:8377"
PASSWORD = "three quiet herons"
FIRST = {"name": "Ada Quill", "sign_in_name": "Ada", "password": PASSWORD, "again": PASSWORD}


@pytest.fixture
def administrator(desk: Desk, client: TestClient) -> TestClient:
    """Whoever opened the first link."""
    code = invite_first(desk)
    assert client.post(f"/link/{code}", data=FIRST).headers["location"] == "/people"
    client.headers["x-form-token"] = _find_token(client.get("/people").text)
    return client


def test_the_first_link_makes_an_administrator_once(desk: Desk, client: TestClient) -> None:
    code = invite_first(desk)
    assert "The first administrator" in client.get(f"/link/{code}").text
    answer = client.post(f"/link/{code}", data=FIRST)
    assert (answer.status_code, answer.headers["location"]) == (303, "/people")
    cookie = answer.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=lax" in cookie
    (account,) = list_people(desk)
    assert (account.sign_in_name, account.role) == ("ada", Role.ADMINISTRATOR)
    assert client.get(f"/link/{code}").status_code == 403
    assert client.post(f"/link/{code}", data=FIRST | {"name": "Eve"}).status_code == 403
    assert invite_first(desk) is None


def test_under_tls_the_cookie_goes_nowhere_else(desk: Desk) -> None:
    entrance = Entrance(hosts=frozenset({"ecg.example"}), has_tls=True, is_this_machine_only=False)
    secure = TestClient(
        create_app(desk, entrance=entrance), base_url="https://ecg.example", follow_redirects=False
    )
    cookie = secure.post(f"/link/{invite_first(desk)}", data=FIRST).headers["set-cookie"]
    assert cookie.startswith("__Host-couchside=")
    assert "; Secure" in cookie
    assert "; Path=/" in cookie


def test_the_department_chooses_when_a_browser_is_locked(
    desk: Desk, come_as: ComeAs, people: dict[Role, Account]
) -> None:
    form = {"colour_code": "IEC", "paper_size": "A4", "lock_after_minutes": "3"}
    assert come_as(Role.RECORDER).post("/settings", data=form).status_code == 403
    lead = come_as(Role.LEAD)
    assert lead.post("/settings", data=form).status_code == 303
    changed = list_trail(desk, count=1)[0]
    assert (changed.what, changed.subject_id, changed.detail) == (
        "changed", "lock_after_minutes", {"from": "10", "to": "3"}
    )  # fmt: skip
    assert 'data-after-s="180"' in lead.get("/help").text
    assert "after 3 minutes without a hand on it" in come_as(Role.READER).get("/settings").text
    assert lead.post("/settings", data=form | {"lock_after_minutes": "0"}).status_code == 422
    token = play(desk, people[Role.LEAD].id)
    later = replace(desk, clock=lambda: desk.now() + timedelta(minutes=4))
    locks = {}
    for entrance in (Entrance(), Entrance(lock_after=timedelta(minutes=5))):
        visitor = TestClient(
            create_app(later, entrance=entrance), base_url=ADDRESS, follow_redirects=False
        )
        visitor.cookies.set("couchside", token)
        locks[entrance.lock_after] = visitor.get("/settings")
    by_settings, by_command = locks.values()
    assert by_settings.headers["location"].startswith("/locked")
    assert "started with --lock-after 5: that holds instead" in by_command.text


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"again": "another thing here"}, "not the same"),
        ({"password": "short", "again": "short"}, "fewer than 12"),
        ({"sign_in_name": "Ada Quill"}, "cannot be a sign-in name"),
        ({"name": " "}, "The name is empty"),
    ],
)
def test_what_will_not_do_is_said_on_the_same_page(
    desk: Desk, client: TestClient, change: dict[str, str], sentence: str
) -> None:
    answer = client.post(f"/link/{invite_first(desk)}", data=FIRST | change)
    assert answer.status_code == 422
    assert sentence in answer.text
    assert PASSWORD not in answer.text
    assert list_people(desk) == ()


def test_signing_in_leads_back_and_signing_out_ends_it(administrator: TestClient) -> None:
    administrator.post("/sign-out")
    assert administrator.get("/round").headers["location"].startswith("/sign-in")
    typed = {"sign_in_name": "ada", "password": PASSWORD, "back": "/settings"}
    answer = administrator.post("/sign-in", data=typed)
    assert (answer.status_code, answer.headers["location"]) == (303, "/settings")
    assert "Ada Quill" in administrator.get("/settings").text


def test_a_wrong_password_says_no_more_than_a_wrong_name(administrator: TestClient) -> None:
    said = [
        administrator.post("/sign-in", data={"sign_in_name": name, "password": "something wrong"})
        for name in ("ada", "nobody")
    ]
    assert [answer.status_code for answer in said] == [403, 403]
    assert all("The name or the password is not right" in answer.text for answer in said)


def test_after_five_wrong_ones_even_the_right_one_must_wait(administrator: TestClient) -> None:
    for _ in range(5):
        administrator.post("/sign-in", data={"sign_in_name": "ada", "password": "something wrong"})
    answer = administrator.post("/sign-in", data={"sign_in_name": "ada", "password": PASSWORD})
    assert answer.status_code == 429
    assert "wait 15 min" in answer.text


@pytest.mark.parametrize(
    "address", ["//evil.example", "/\\evil.example", "https://evil.example", "", "/a\r\nb", "round"]
)
def test_nobody_is_led_to_another_site(address: str) -> None:
    assert keep_inside(address) == "/round"


def test_a_lock_hides_everything_until_the_person_is_back(administrator: TestClient) -> None:
    answer = administrator.post("/lock", data={"back": "/settings"})
    assert answer.headers["location"] == "/locked?back=%2Fsettings"
    assert administrator.get("/round").headers["location"] == "/locked?back=%2Fround"
    assert administrator.get("/api/recordings/1").status_code == 423
    page = administrator.get("/locked?back=/settings").text
    assert "Ada Quill is signed in here" in page
    wrong = administrator.post("/locked", data={"secret": "1111", "back": "/settings"})
    assert (wrong.status_code, "That is not right" in wrong.text) == (403, True)
    back = administrator.post("/locked", data={"secret": PASSWORD, "back": "/settings"})
    assert (back.status_code, back.headers["location"]) == (303, "/settings")
    assert administrator.get("/round").status_code == 200


def test_a_pin_unlocks_and_three_wrong_ones_end_it(administrator: TestClient) -> None:
    saved = administrator.post("/account/pin", data={"old": PASSWORD, "pin": "2580"})
    assert saved.headers["location"] == "/account?saved=yes"
    script = {"accept": "application/json"}
    administrator.post("/lock")
    right = administrator.post("/locked", data={"secret": "2580"}, headers=script)
    assert right.status_code == 204
    administrator.post("/lock")
    wrong = [
        administrator.post("/locked", data={"secret": "2581"}, headers=script) for _ in range(3)
    ]
    assert [answer.status_code for answer in wrong] == [403, 403, 403]
    assert "wrong three times" in wrong[-1].text
    assert administrator.get("/round").headers["location"].startswith("/sign-in")


@pytest.mark.parametrize("pin", ["123", "123456789", "12a4", "1111", "1234", "٤٤٥٦"])
def test_what_is_no_pin_is_refused(administrator: TestClient, pin: str) -> None:
    assert administrator.post("/account/pin", data={"old": PASSWORD, "pin": pin}).status_code == 422


def test_a_browser_left_alone_locks_by_itself_and_renewing_does_not_keep_it_awake(
    desk: Desk,
) -> None:
    later = [timedelta(0)]
    now = desk.clock
    slow = replace(desk, clock=lambda: now() + later[0])
    browser = TestClient(create_app(slow), base_url=ADDRESS, follow_redirects=False)
    browser.post(f"/link/{invite_first(slow)}", data=FIRST)
    browser.headers["x-form-token"] = _find_token(browser.get("/people").text)
    later[0] += timedelta(minutes=9)
    assert browser.post("/awake").status_code == 204
    later[0] += timedelta(minutes=9)
    assert browser.get("/round/now").status_code == 200
    later[0] += timedelta(minutes=2)
    assert browser.get("/round").headers["location"].startswith("/locked")
    browser.post("/locked", data={"secret": PASSWORD})
    assert browser.get("/round").status_code == 200
    later[0] += timedelta(hours=12)
    assert browser.get("/round").headers["location"].startswith("/sign-in")


def test_a_new_password_ends_every_other_sign_in(desk: Desk, administrator: TestClient) -> None:
    other = TestClient(create_app(desk), base_url=ADDRESS, follow_redirects=False)
    other.post("/sign-in", data={"sign_in_name": "ada", "password": PASSWORD})
    assert other.get("/round").status_code == 200
    new = "four loud magpies"
    wrong = administrator.post(
        "/account/password", data={"old": "not this one", "password": new, "again": new}
    )
    assert wrong.status_code == 403
    done = administrator.post(
        "/account/password", data={"old": PASSWORD, "password": new, "again": new}
    )
    assert done.status_code == 303
    assert administrator.get("/round").status_code == 200
    assert other.get("/round").headers["location"].startswith("/sign-in")


def test_an_account_is_made_with_a_link_that_its_person_opens(
    desk: Desk, administrator: TestClient
) -> None:
    form = {"role": "recorder", "name": "Robin Ashgrove", "sign_in_name": "robin"}
    page = administrator.post("/people", data=form).text
    link = page.partition('id="link">')[2].partition("<")[0]
    robin = TestClient(create_app(desk), base_url=ADDRESS, follow_redirects=False)
    assert "Welcome, Robin Ashgrove" in robin.get(link).text
    robin.post(link, data={"password": "a heron at dawn", "again": "a heron at dawn"})
    assert "Robin Ashgrove" in robin.get("/round").text
    assert robin.get(link).status_code == 403
    assert administrator.post("/people", data=form).status_code == 422


def test_a_newer_link_puts_an_older_one_out_of_use(desk: Desk, administrator: TestClient) -> None:
    (ada,) = list_people(desk)
    older, newer = invite(desk, ada.id), invite(desk, ada.id)
    assert administrator.get(f"/link/{older}").status_code == 403
    assert administrator.get(f"/link/{newer}").status_code == 200


def test_one_administrator_must_stay(desk: Desk, administrator: TestClient) -> None:
    (ada,) = list_people(desk)
    answer = administrator.post(f"/people/{ada.id}", data={"role": "lead", "is_active": "true"})
    assert (answer.status_code, "no administrator would be left" in answer.text.lower()) == (
        422,
        True,
    )
    assert list_people(desk)[0].role is Role.ADMINISTRATOR


def test_in_the_demo_one_is_somebody_at_once_and_may_be_somebody_else(desk: Desk) -> None:
    cast = prepare_cast(desk)
    assert prepare_cast(desk) == ()
    demo = TestClient(
        create_app(desk, entrance=Entrance(is_demo=True)), base_url=ADDRESS, follow_redirects=False
    )
    assert "Robin Ashgrove" in demo.get("/round").text
    assert demo.get("/people").status_code == 403
    percy = next(each for each in cast if each.role is Role.ADMINISTRATOR)
    assert "Who would you like to be?" in demo.get("/sign-in").text
    assert demo.post(f"/sign-in/{percy.id}").status_code == 303
    assert "Percy Lindqvist" in demo.get("/people").text


def test_outside_the_demo_nobody_can_be_somebody_else(come_as: ComeAs) -> None:
    assert come_as(None).post("/sign-in/1").status_code == 403


def _find_token(page: str) -> str:
    return page.partition('name="form_token" value="')[2].partition('"')[0]
