"""Who it is, how it was taken, who was told: asked, kept, refused, and seen again."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from fastapi.testclient import TestClient

from couchside.recording import Placement
from couchside.service import Desk, Received, close_telling, list_checks, list_to_tell
from couchside.service.telling import Telling
from couchside.store.queries.trail import list_audit_entries

Bring = Callable[..., Received]


@pytest.fixture
def told_id(protocol: None, bring: Bring, order_id: int) -> int:
    """A recording whose heart rate the protocol wants told."""
    recording = bring().recording
    assert recording is not None
    return recording.id


def list_deeds(desk: Desk) -> list[str]:
    with desk.store.reading() as session:
        return [row.what for row in list_audit_entries(session)]


def test_two_identifiers_are_kept_with_time_and_person(
    client: TestClient, desk: Desk, order_id: int
) -> None:
    ticked = {"identifiers": ["full name, spoken", "date of birth, spoken"]}
    answer = client.post(f"/orders/{order_id}/identity", data=ticked)
    assert (answer.status_code, answer.headers["location"]) == (303, f"/orders/{order_id}")
    (check,) = list_checks(desk, order_id)
    assert ([str(each) for each in check.identifiers], check.who) == (
        ticked["identifiers"],
        "Test Person",
    )
    assert "full name, spoken, date of birth, spoken · Test Person" in (
        client.get(f"/orders/{order_id}").text
    )
    assert "checked the identity" in list_deeds(desk)


@pytest.mark.parametrize("ticked", [[], ["full name, spoken"], ["full name, spoken"] * 2])
def test_fewer_than_two_identifiers_are_no_check(
    client: TestClient, desk: Desk, order_id: int, ticked: list[str]
) -> None:
    answer = client.post(f"/orders/{order_id}/identity", data={"identifiers": ticked})
    assert answer.status_code == 422
    assert "Fewer than two identifiers were checked" in answer.text
    assert list_checks(desk, order_id) == ()


def test_nobody_is_checked_for_an_unknown_order(client: TestClient) -> None:
    data = {"identifiers": ["full name, spoken", "date of birth, spoken"]}
    assert client.post("/orders/99/identity", data=data).status_code == 404
    assert client.get("/orders/99/identity").status_code == 405


def test_what_is_to_be_told_stands_on_every_page_until_somebody_was_told(
    client: TestClient, desk: Desk, told_id: int
) -> None:
    (item,) = list_to_tell(desk)
    for path in ("/round", "/help", "/settings", f"/recordings/{told_id}", "/tell-now"):
        page = client.get(path).text
        assert f'href="/tell-now/{item.id}"' in page
        assert "heart rate" in page
    form = {"told_whom": "Dr Fennel", "told_at": "00:00", "is_read_back": "yes"}
    answer = client.post(f"/tell-now/{item.id}", data=form)
    assert answer.headers["location"] == f"/recordings/{told_id}"
    page = client.get(f"/recordings/{told_id}").text
    assert f'href="/tell-now/{item.id}"' not in page
    assert "Dr Fennel was told at 00:00, read back (Test Person" in page
    assert "Nothing is open." in client.get("/tell-now").text
    assert "told" in list_deeds(desk)


@pytest.mark.parametrize(
    ("form", "sentence"),
    [
        ({}, "not said who was told"),
        ({"told_whom": "Dr Fennel"}, "not said when it was told"),
        ({"told_whom": "Dr Fennel", "told_at": "9:3"}, "is not a time of day"),
        ({"told_whom": "Dr Fennel", "told_at": "09:30"}, "whether it was read back"),
        ({"told_whom": "Dr Fennel", "not_told_because": "repeated"}, "give one"),
    ],
)
def test_half_a_telling_is_none(
    client: TestClient, desk: Desk, told_id: int, form: dict[str, str], sentence: str
) -> None:
    (item,) = list_to_tell(desk)
    answer = client.post(f"/tell-now/{item.id}", data=form)
    assert answer.status_code == 422
    assert sentence in answer.text
    assert len(list_to_tell(desk)) == 1


def test_a_value_that_need_not_be_told_is_closed_with_its_reason(
    client: TestClient, desk: Desk, told_id: int
) -> None:
    (item,) = list_to_tell(desk)
    client.post(f"/tell-now/{item.id}", data={"not_told_because": "recorded again, it was noise"})
    page = client.get(f"/tell-now/{item.id}").text
    assert "Nobody was told: recorded again, it was noise (Test Person" in page


def test_nobody_closes_what_somebody_else_has_closed(
    client: TestClient, desk: Desk, told_id: int
) -> None:
    (item,) = list_to_tell(desk)
    close_telling(desk.with_person("Another"), item.id, Telling(not_told_because="known"))
    form = {"told_whom": "Dr Fennel", "told_at": "09:30", "is_read_back": "no"}
    answer = client.post(f"/tell-now/{item.id}", data=form)
    assert answer.status_code == 409
    assert "Another has closed this already" in answer.text


@pytest.mark.parametrize("path", ["/tell-now/1", "/tell-now/99999999999999999999"])
def test_an_unknown_telling_is_not_found(client: TestClient, path: str) -> None:
    assert client.get(path).status_code == 404
    assert client.request("DELETE", path).status_code == 405


def test_the_printed_page_says_who_was_told(client: TestClient, desk: Desk, told_id: int) -> None:
    assert "Not yet told: heart rate" in client.get(f"/recordings/{told_id}/page.svg").text
    (item,) = list_to_tell(desk)
    form = {"told_whom": "Dr Fennel", "told_at": "00:00", "is_read_back": "yes"}
    client.post(f"/tell-now/{item.id}", data=form)
    assert "to Dr Fennel at 00:00, read back, by" in read_words(client, told_id)


def read_words(client: TestClient, recording_id: int) -> str:
    """All texts of the printed page, in their order."""
    page = client.get(f"/recordings/{recording_id}/page.svg").text
    return " ".join(re.findall(r"<text[^>]*>([^<]*)</text>", page))


WORDS = {
    "seen_number": "0",
    "placement": Placement.TORSO.value,
    "position": "semi-recumbent",
    "symptoms": "palpitations",
    "conditions": "tremor",
    "remark": "left forearm in plaster",
    "moved_la": "left shoulder",
}


def test_how_it_was_taken_is_kept_and_goes_with_every_page(
    client: TestClient, desk: Desk, bring: Bring, order_id: int
) -> None:
    recording = bring().recording
    assert recording is not None
    address = f"/recordings/{recording.id}"
    answer = client.post(f"{address}/circumstances", data=WORDS)
    assert answer.headers["location"] == f"{address}#circumstances"
    page = client.get(address).text
    for line in ("Placement: limb electrodes on the torso", "Electrodes moved: LA left shoulder"):
        assert line in page
    stated = client.get(f"/api{address}").json()["recording"]
    assert stated["placement"] == "limb electrodes on the torso"
    assert "Position: semi-recumbent" in stated["remarks"]
    assert "Symptoms: palpitations" in read_words(client, recording.id)
    assert "described" in list_deeds(desk)


def test_two_people_do_not_write_over_each_other(
    client: TestClient, bring: Bring, order_id: int
) -> None:
    recording = bring().recording
    assert recording is not None
    address = f"/recordings/{recording.id}/circumstances"
    assert client.post(address, data=WORDS).status_code == 303
    answer = client.post(address, data=WORDS)
    assert answer.status_code == 409
    assert "Test Person wrote about this recording meanwhile" in answer.text
    assert client.post(address, data=WORDS | {"seen_number": "1"}).status_code == 303


@pytest.mark.parametrize(
    ("path", "changes", "status"),
    [
        ("/recordings/99/circumstances", {}, 404),
        ("/recordings/1/circumstances", {"placement": "upside down"}, 422),
        ("/recordings/1/circumstances", {"remark": "x" * 2001}, 422),
        ("/recordings/1/circumstances", {"moved_c3": "x" * 65}, 422),
    ],
)
def test_what_cannot_be_written_is_refused(
    client: TestClient, bring: Bring, path: str, changes: dict[str, str], status: int
) -> None:
    bring()
    assert client.post(path, data=WORDS | changes).status_code == status


def test_a_second_attempt_says_what_got_better(
    client: TestClient, bring: Bring, order_id: int
) -> None:
    first, second = bring("mains-on-v3").recording, bring("good").recording
    assert first is not None
    assert second is not None
    assert "Against attempt" not in client.get(f"/recordings/{first.id}").text
    page = client.get(f"/recordings/{second.id}").text
    part = page[page.index('id="progress"') : page.index('id="circumstances"')]
    assert f'<a href="/recordings/{first.id}">Attempt 1: Record again</a>' in part
    assert "<dt>Gone</dt><dd>Mains interference: V3 electrode" in part
    assert re.search(r"Noise, V3 electrode</dt><dd>\d+ µV before, \d+ µV now", part)
