"""Who may what: a visitor who may, one who may not, and one who is not signed in, at every page."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from fastapi.routing import APIRoute
from fastapi.testclient import TestClient

from couchside.service import Desk, Received
from couchside.service.accounts import Account, Right, change_account
from couchside.service.protocols import PROTOCOL_FILE, get_example_protocol
from couchside.service.trail import list_trail
from couchside.store.words import Role
from couchside.web import changes as changes_module
from couchside.web import create_app
from couchside.web.app import GUARDED, OWN, PUBLIC
from couchside.web.entrance import Entrance

ComeAs = Callable[[Role | None], TestClient]

NEEDS_MORE = {
    ("POST", "/settings"): Right.CHOOSE,
    ("POST", "/settings/pages"): Right.CHOOSE,
    ("GET", "/people"): Right.ADMIT,
    ("POST", "/people"): Right.ADMIT,
    ("POST", "/people/{account_id}"): Right.ADMIT,
    ("POST", "/people/{account_id}/link"): Right.ADMIT,
    ("POST", "/readiness"): Right.CHOOSE,
    ("POST", "/recorders/{recorder_id}"): Right.CHOOSE,
    ("POST", "/recorders/{recorder_id}/retire"): Right.CHOOSE,
}
ALLOWED = {
    Right.SEE: set(Role),
    Right.RECORD: {Role.RECORDER, Role.LEAD, Role.ADMINISTRATOR},
    Right.CHOOSE: {Role.LEAD, Role.ADMINISTRATOR},
    Right.ADMIT: {Role.ADMINISTRATOR},
}


def list_doors() -> list[tuple[str, str]]:
    return [
        (method, route.path)
        for router in GUARDED
        for route in router.routes
        if isinstance(route, APIRoute)
        for method in sorted(route.methods or ())
    ]


def name_right(method: str, path: str) -> Right:
    usual = Right.SEE if method == "GET" else Right.RECORD
    return NEEDS_MORE.get((method, path), usual)


def fill_in(path: str) -> str:
    for name in (
        "recording_id",
        "order_id",
        "problem_id",
        "account_id",
        "item_id",
        "recorder_id",
        "fault_id",
        "number",
    ):
        path = path.replace(f"{{{name}}}", "1")
    return path


def test_every_page_is_behind_a_door_but_the_doors_themselves() -> None:
    public = {
        route.path for router in PUBLIC for route in router.routes if isinstance(route, APIRoute)
    }
    assert public == {
        "/sign-in", "/sign-in/{account_id}", "/link/{code}", "/api/health", "/single-sign-on",
        "/single-sign-on/connect", "/single-sign-on/answer", "/single-sign-on/end",
    }  # fmt: skip
    own = {route.path for router in OWN for route in router.routes if isinstance(route, APIRoute)}
    assert own == {
        "/sign-out", "/lock", "/locked", "/awake", "/account", "/account/password", "/account/pin",
    }  # fmt: skip
    assert len(list_doors()) > 20


@pytest.mark.parametrize("door", list_doors())
def test_three_kinds_of_visitor_at_each_page(
    come_as: ComeAs, monkeypatch: pytest.MonkeyPatch, door: tuple[str, str]
) -> None:
    monkeypatch.setattr(changes_module, "MOST_LISTENERS", 0)  # a stream of changes never ends
    method, path = door[0], fill_in(door[1])
    allowed = ALLOWED[name_right(*door)]
    for role in Role:
        status = come_as(role).request(method, path).status_code
        if role in allowed:
            assert status not in {401, 403, 500}, (role, status)
        else:
            assert status == 403, (role, status)
    stranger = come_as(None).request(method, path)
    if path.startswith("/api/"):
        assert stranger.status_code == 401
    else:
        assert stranger.status_code == 303
        assert stranger.headers["location"].startswith("/sign-in")


def test_a_program_that_is_not_signed_in_gets_a_sentence(come_as: ComeAs) -> None:
    answer = come_as(None).get("/api/recordings/1")
    assert answer.json() == {"sentence": "Nobody is signed in here; sign in first."}


def test_a_stranger_is_led_to_the_sign_in_and_back(come_as: ComeAs) -> None:
    answer = come_as(None).get("/round?day=2026-03-04")
    assert answer.headers["location"] == "/sign-in?back=%2Fround%3Fday%3D2026-03-04"


def test_a_page_that_renews_itself_is_loaded_again_where_nobody_is_signed_in(
    come_as: ComeAs,
) -> None:
    answer = come_as(None).get("/round/now", headers={"hx-request": "true"})
    assert (answer.status_code, answer.headers["hx-refresh"]) == (204, "true")


def test_a_locked_page_that_renews_itself_is_left_as_it_is(come_as: ComeAs) -> None:
    reader = come_as(Role.READER)
    reader.post("/lock")
    answer = reader.get("/round/now", headers={"hx-request": "true"})
    assert answer.status_code == 423
    assert "hx-refresh" not in answer.headers


def test_what_is_to_be_told_stands_on_no_page_for_strangers(come_as: ComeAs) -> None:
    reader = come_as(Role.READER)
    assert 'id="to-tell"' in reader.get("/help").text
    reader.post("/lock")
    assert 'id="to-tell"' not in reader.get("/locked").text
    assert 'id="to-tell"' not in come_as(None).get("/sign-in").text


def test_a_form_of_another_sign_in_changes_nothing(come_as: ComeAs) -> None:
    lead = come_as(Role.LEAD)
    choice = {"colour_code": "AHA", "paper_size": "A4"}
    for wrong in ("", "0" * 64, "ü"):
        lead.headers.pop("x-form-token", None)
        answer = lead.post("/settings", data=choice | {"form_token": wrong})
        assert answer.status_code == 403
        assert "made for another sign-in" in answer.text
    page = lead.get("/settings").text
    token = page.partition('name="form_token" value="')[2].partition('"')[0]
    assert lead.post("/settings", data=choice | {"form_token": token}).status_code == 303
    assert lead.get("/settings").text.count('value="AHA" checked') == 1


def test_a_closed_account_is_out_at_once(
    desk: Desk, come_as: ComeAs, people: dict[Role, Account]
) -> None:
    reader = come_as(Role.READER)
    assert reader.get("/round").status_code == 200
    change_account(desk, people[Role.READER].id, role=Role.READER, is_active=False)
    assert reader.get("/round").headers["location"].startswith("/sign-in")


def test_what_a_person_does_bears_their_name_their_account_and_where_from(
    desk: Desk, come_as: ComeAs, order_id: int
) -> None:
    come_as(Role.LEAD).post("/settings", data={"colour_code": "AHA", "paper_size": "A4"})
    come_as(Role.READER).get(f"/orders/{order_id}")
    *_, changed, _signed_in, viewed = list_trail(desk, count=100)
    assert (changed.who, changed.account, changed.address) == ("Test lead", "lead", "testclient")
    assert (viewed.account, viewed.what, viewed.subject_kind, viewed.subject_id) == (
        "reader", "viewed", "order", str(order_id),
    )  # fmt: skip


def test_looking_again_is_the_same_look(desk: Desk, come_as: ComeAs) -> None:
    for role in (Role.READER, Role.LEAD):
        visitor = come_as(role)
        for path in ("/round", "/round", "/round/now"):
            visitor.get(path)
    looks = [each.account for each in list_trail(desk, count=100) if each.what == "viewed"]
    assert looks == ["reader", "lead"]


@pytest.mark.parametrize("path", ["/tell-now", "/tell-now/1", "/tell-now/open", "/round/end"])
def test_lists_of_people_are_looks_too(
    desk: Desk, come_as: ComeAs, bring: Callable[..., Received], order_id: int, path: str
) -> None:
    (desk.data_folder / PROTOCOL_FILE).write_text(
        get_example_protocol().replace("at_most = 35", "at_most = 200"), encoding="utf-8"
    )
    recording = bring().recording
    assert recording is not None
    page = come_as(Role.READER).get(path)
    assert "Quill" in page.text
    last = list_trail(desk, count=1)[-1]
    seen = ("round", desk.today().isoformat()) if "round" in path else ("recording", "1")
    assert (last.what, last.account, last.subject_kind, last.subject_id) == (
        "viewed", "reader", *seen,
    )  # fmt: skip


@pytest.mark.parametrize("number", ["-1", str(-(2**70)), str(2**70)])
@pytest.mark.parametrize(
    "path",
    ["/recordings/1/match", "/recordings/1/move", "/problems/{}/set-aside", "/faults/{}"],
)
def test_a_number_that_nothing_can_have_is_answered_and_not_tripped_over(
    client: TestClient, bring: Callable[..., Received], order_id: int, path: str, number: str
) -> None:
    bring()
    fields = {"order_id": number, "from_order_id": str(order_id), "reason": "x", "seen_number": "0"}
    assert client.post(path.format(number), data=fields | {"words": "x"}).status_code in {404, 409}


def test_what_is_not_there_was_not_looked_at(desk: Desk, come_as: ComeAs) -> None:
    assert come_as(Role.READER).get("/recordings/99").status_code == 404
    assert all(each.what != "viewed" for each in list_trail(desk, count=100))


def test_others_may_not_come_in_before_there_is_an_account(desk: Desk, client: TestClient) -> None:
    assert client.get("/round").status_code == 200
    entrance = Entrance(hosts=frozenset({"ecg.example"}), is_this_machine_only=False, has_tls=True)
    outside = TestClient(
        create_app(desk, entrance=entrance), base_url="https://ecg.example", follow_redirects=False
    )
    assert outside.get("/round").headers["location"].startswith("/sign-in")
    assert "Nobody has an account here yet" in outside.get("/sign-in").text


def test_on_this_machine_everybody_signs_in_once_there_is_an_account(
    client: TestClient, come_as: ComeAs
) -> None:
    assert client.get("/round").headers["location"].startswith("/sign-in")
    assert client.get("/people").headers["location"].startswith("/sign-in")


def test_before_that_nobody_can_make_one_without_the_link(client: TestClient) -> None:
    form = {"role": "administrator", "name": "Someone", "sign_in_name": "someone"}
    assert client.post("/people", data=form).status_code == 403
