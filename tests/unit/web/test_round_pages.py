"""The round: known, unknown and wrongly used addresses."""

from __future__ import annotations

import re
from typing import Protocol

import pytest
from fastapi.testclient import TestClient

from couchside.recording import Patient
from couchside.service import Desk, NewOrder, Received, add_order, list_round

STRANGER = Patient(identifier="T-9", family_name="Nobody", given_name="Known")


class Bring(Protocol):
    """Hands in a simulated recording."""

    def __call__(
        self, scenario: str = "good", *, patient: Patient = ..., name: str = ...
    ) -> Received:
        """Receive it."""


def test_the_start_leads_to_the_round(client: TestClient) -> None:
    answer = client.get("/")
    assert (answer.status_code, answer.headers["location"]) == (303, "/round")


def test_an_empty_round_says_what_to_do(client: TestClient) -> None:
    assert "Nobody is on this round yet." in client.get("/round").text


def test_a_person_waits(client: TestClient, order_id: int) -> None:
    text = client.get("/round").text
    assert f'href="/orders/{order_id}">Quill, Ada</a>' in text
    assert "No. T-1 · born 17 May 1960 · female" in text
    assert "<b>1</b> waiting" in text


def test_an_arrival_shows_its_verdict_first(
    client: TestClient, order_id: int, bring: Bring
) -> None:
    recording = bring().recording
    assert recording is not None
    text = client.get("/round").text
    assert "Arrived at" in text
    assert text.index("verdict-word") < text.index('id="people"')
    assert f'<a href="/recordings/{recording.id}">Quill, Ada</a>' in text


def test_a_verdict_on_the_round_names_its_cause(
    client: TestClient, order_id: int, bring: Bring
) -> None:
    received = bring("mains-on-v3")
    assert received.recording is not None
    assert received.recording.verdict == "record again"
    row = re.search(r'<li [^>]*class="row row-person.*?</li>', client.get("/round").text, re.DOTALL)
    assert row is not None
    assert "Record again" in row.group(0)
    assert "V3 electrode" in row.group(0)


def test_nothing_is_sent_while_nothing_changes(
    client: TestClient, order_id: int, bring: Bring
) -> None:
    seen = re.search(r"seen=(\w+)", client.get("/round").text)
    assert seen is not None
    assert client.get(f"/round/now?seen={seen.group(1)}").status_code == 204
    bring()
    renewed = client.get(f"/round/now?seen={seen.group(1)}")
    assert renewed.status_code == 200
    assert "Arrived at" in renewed.text
    assert "<html" not in renewed.text


def test_at_midnight_the_page_is_told_to_load_again(client: TestClient) -> None:
    answer = client.get("/round/now?day=&opened=2020-02-28&seen=x")
    assert (answer.status_code, answer.headers["hx-refresh"]) == (204, "true")
    chosen = client.get("/round/now?day=2020-02-28&opened=2020-02-28&seen=x")
    assert "hx-refresh" not in chosen.headers


def test_a_recording_without_an_order_is_asked_about(
    client: TestClient, order_id: int, bring: Bring
) -> None:
    received = bring(patient=STRANGER)
    assert received.recording is not None
    text = client.get("/round").text
    assert "Whose are these?" in text
    assert f'action="/recordings/{received.recording.id}/match"' in text
    assert re.search(r'<option value="">Choose a person</option>', text), "never filed by default"
    assert f'<option value="{order_id}">Quill, Ada' in text


def test_the_likeliest_person_stands_first(client: TestClient, desk: Desk, bring: Bring) -> None:
    add_order(desk, NewOrder(patient=Patient(identifier="T-2", family_name="Aardwolf")))
    like = add_order(desk, NewOrder(patient=Patient(identifier="T-3", family_name="Nobody"))).id
    bring(patient=STRANGER)
    options = re.findall(r'<option value="(\d+)">', client.get("/round").text)
    assert options[0] == str(like)


def test_what_could_not_be_read_can_be_set_aside(client: TestClient) -> None:
    files = {"files": ("letter.txt", b"dear colleague", "text/plain")}
    assert client.post("/upload", files=files).status_code == 200
    text = client.get("/round").text
    assert "Could not be read" in text
    assert "letter.txt" in text
    address = re.search(r'action="(/problems/\d+/set-aside)"', text)
    assert address is not None
    assert client.post(address.group(1)).status_code == 303
    assert "Could not be read" not in client.get("/round").text


def test_a_day_can_be_chosen(client: TestClient, order_id: int) -> None:
    text = client.get("/round?day=2020-02-29").text
    assert "Saturday 29 Feb 2020" in text
    assert "Quill" not in text


@pytest.mark.parametrize(
    "path", ["/round?day=9999-12-31", "/round/now?day=9998-12-31", "/round?day=0001-01-01"]
)
def test_a_day_at_the_end_of_the_calendar_is_answered_with_a_sentence(
    client: TestClient, path: str
) -> None:
    answer = client.get(path)
    assert answer.status_code == 422
    assert "cannot be; correct its year" in answer.text


@pytest.mark.parametrize("path", ["/round?day=tomorrow", "/round?day=2021-02-29"])
def test_what_is_no_day_is_said_to_be_none(client: TestClient, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 422
    assert "is not a date; write it like 2026-03-04" in answer.text


@pytest.mark.parametrize(
    "path", ["/problems/1/set-aside", "/problems/99999999999999999999/set-aside"]
)
def test_an_unknown_problem_is_not_found(client: TestClient, path: str) -> None:
    assert client.post(path).status_code == 404


@pytest.mark.parametrize("path", ["/nowhere", "/round/x", "/persons", "/static/x/base.css"])
def test_an_unknown_address_is_answered_kindly(client: TestClient, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 404
    assert "There is no such page; choose a person from the round." in answer.text


@pytest.mark.parametrize("method", ["POST", "DELETE", "PUT"])
def test_a_wrong_method_is_answered_kindly(client: TestClient, method: str) -> None:
    answer = client.request(method, "/round")
    assert answer.status_code == 405
    assert "cannot be used in that way" in answer.text


def test_the_round_is_not_changed_by_looking(client: TestClient, desk: Desk, order_id: int) -> None:
    before = list_round(desk)
    client.get("/round")
    assert list_round(desk) == before
