"""Correcting who a person is, from their page: who may, who sees it, and what is refused."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from fastapi.testclient import TestClient

from couchside.service import Received
from couchside.store.words import Role

FORM = {
    "identifier": "T-11",
    "family_name": "Quill",
    "given_name": "Ada",
    "birth_date": "1960-05-17",
    "sex": "female",
    "reason": "two digits <b>swapped</b>",
    "seen_number": "0",
}
ADDRESS = "/patients/identity?number=T-1"


@pytest.fixture
def recording_id(order_id: int, bring: Callable[..., Received]) -> int:
    received = bring()
    assert received.recording is not None
    return received.recording.id


def test_every_page_shows_the_corrected_identity_and_says_so(
    client: TestClient, order_id: int, recording_id: int
) -> None:
    answer = client.post(ADDRESS, data=FORM)
    assert (answer.status_code, answer.headers["location"]) == (303, "/patients?number=T-11")
    said = "Patient number: T-1 became T-11"
    for page in (
        "/patients?number=T-11",
        "/patients?number=T-1",
        f"/recordings/{recording_id}",
        f"/orders/{order_id}",
    ):
        text = client.get(page).text
        assert said in text, page
        assert "Test Person, " in text
        assert "two digits &lt;b&gt;swapped&lt;/b&gt;" in text
        assert "No. T-11" in text
    assert "identity amended" in client.get("/round").text
    recording = client.get(f"/recordings/{recording_id}").text
    assert "The file names another person" not in recording
    assert "Quill, Ada, No. T-1, born" in recording, "the original stays visible"
    document = client.get(f"/api/recordings/{recording_id}").json()
    assert document["patient"]["identifier"] == "T-11"
    assert b"%PDF" in client.get(f"/recordings/{recording_id}/page.pdf").content[:8]
    drawn = client.get(f"/recordings/{recording_id}/page.svg").text
    assert "Identity amended by Test Person" in " ".join(re.sub(r"<[^>]+>", " ", drawn).split())


def test_a_recorder_amends_a_reader_sees_and_a_stranger_does_neither(
    come_as: Callable[[Role | None], TestClient], recording_id: int
) -> None:
    reader = come_as(Role.READER)
    assert "Amend the identity…" not in reader.get("/patients?number=T-1").text
    assert reader.post(ADDRESS, data=FORM).status_code == 403
    assert come_as(None).post(ADDRESS, data=FORM).headers["location"].startswith("/sign-in")
    recorder = come_as(Role.RECORDER)
    assert "Amend the identity…" in recorder.get("/patients?number=T-1").text
    assert recorder.post(ADDRESS, data=FORM).status_code == 303
    assert "T-1 became T-11" in reader.get("/patients?number=T-1").text


@pytest.mark.parametrize(
    ("changed", "status", "sentence"),
    [
        ({"reason": ""}, 422, "The reason is empty"),
        ({"birth_date": "tomorrow"}, 422, "is not a date"),
        ({"identifier": "T-1"}, 422, "Nothing is changed"),
        ({"seen_number": "3"}, 409, "amended this identity meanwhile"),
    ],
)
def test_what_cannot_be_is_sent_back(
    client: TestClient, recording_id: int, changed: dict[str, str], status: int, sentence: str
) -> None:
    answer = client.post(ADDRESS, data=FORM | changed)
    assert answer.status_code == status
    assert sentence in answer.text
    assert client.get(ADDRESS).status_code == 405
    assert client.post("/patients/identity?number=N-0", data=FORM).status_code == 404
