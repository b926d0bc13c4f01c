"""The preview of a recording with its exchanged cables put back."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO

import pytest
from fastapi.testclient import TestClient
from pypdf import PdfReader

from couchside.service import Desk, Received, list_round, open_recording
from couchside.store.words import Role

EXCHANGED, LOST = "right-arm-left-leg-exchanged", "right-arm-right-leg-exchanged"


@pytest.fixture
def exchanged_id(bring: Callable[..., Received]) -> int:
    return _receive(bring, EXCHANGED)


def _receive(bring: Callable[..., Received], scenario: str) -> int:
    received = bring(scenario)
    assert received.recording is not None
    return received.recording.id


def test_the_page_offers_it_marked_as_derived(client: TestClient, exchanged_id: int) -> None:
    text = client.get(f"/recordings/{exchanged_id}").text
    assert "Look at a preview put right by software" in text
    assert "Derived, not as recorded: worked out as with the right-arm and left-leg cables" in text
    assert f"/recordings/{exchanged_id}/put-right.svg" in text


def test_the_drawing_says_that_it_is_derived(client: TestClient, exchanged_id: int) -> None:
    answer = client.get(f"/recordings/{exchanged_id}/put-right.pdf")
    assert answer.headers["content-type"] == "application/pdf"
    assert "derived-preview.pdf" in answer.headers["content-disposition"]
    words = " ".join(PdfReader(BytesIO(answer.content)).pages[0].extract_text().split())
    assert "DERIVED PREVIEW, not as recorded" in words
    assert "Record again" not in words
    drawing = client.get(f"/recordings/{exchanged_id}/put-right.svg")
    assert drawing.headers["content-type"].startswith("image/svg+xml")


def test_nothing_of_it_is_stored(client: TestClient, desk: Desk, exchanged_id: int) -> None:
    before = open_recording(desk, exchanged_id)
    rounds = list_round(desk)
    client.get(f"/recordings/{exchanged_id}/put-right.svg")
    after = open_recording(desk, exchanged_id)
    assert (after.recording.microvolts == before.recording.microvolts).all()
    assert after.recording.origin == before.recording.origin
    assert len(list_round(desk).entries) == len(rounds.entries)


@pytest.mark.parametrize("scenario", ["good", LOST])
def test_there_is_none_where_nothing_can_be_undone(
    client: TestClient, bring: Callable[..., Received], scenario: str
) -> None:
    number = _receive(bring, scenario)
    assert "preview put right" not in client.get(f"/recordings/{number}").text.replace(
        "look at the preview put right", ""
    )
    answer = client.get(f"/recordings/{number}/put-right.svg")
    assert answer.status_code == 404
    assert "no exchange of cables that software can undo" in answer.text


def test_a_stranger_is_sent_to_sign_in_and_a_reader_may_look(
    come_as: Callable[[Role | None], TestClient], exchanged_id: int
) -> None:
    address = f"/recordings/{exchanged_id}/put-right.svg"
    assert come_as(None).get(address).status_code == 303
    assert come_as(Role.READER).get(address).status_code == 200
    assert come_as(Role.RECORDER).get(address).status_code == 200
