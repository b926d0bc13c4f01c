"""The page of a strip: for who may see it, who asks for what is not there, and the wrong way."""

from __future__ import annotations

import re
from typing import Protocol

import pytest
from fastapi.testclient import TestClient

from couchside.service import Desk, Received, open_recording
from couchside.service.stripping import StripChoice, draw_strip


class Bring(Protocol):
    """Hands in a simulated recording."""

    def __call__(self, scenario: str = "good") -> Received:
        """Receive it."""


@pytest.fixture
def recording_id(bring: Bring) -> int:
    """A recording without a fault."""
    recording = bring().recording
    assert recording is not None
    return recording.id


def test_it_shows_lead_two_and_the_rhythm_of_all(client: TestClient, recording_id: int) -> None:
    page = client.get(f"/recordings/{recording_id}/strip")
    assert page.status_code == 200
    assert "<option selected>II</option>" in page.text
    assert "Mean RR" in page.text
    picture = re.search(r'src="([^"]*strip.svg[^"]*)"', page.text)
    assert picture is not None
    assert client.get(picture[1].replace("&amp;", "&")).text.startswith("<svg")


def test_the_rhythm_is_that_of_the_stretch(desk: Desk, recording_id: int) -> None:
    opened = open_recording(desk, recording_id)
    whole = draw_strip(desk, opened, StripChoice())
    half = draw_strip(desk, opened, StripChoice(leads=("V1", "v5"), from_s=5.0, seconds=99.0))
    assert half.leads == ("V1", "V5")
    assert half.seconds == pytest.approx(opened.recording.duration_s - 5.0)
    assert 0 < half.rhythm.beat_count < whole.rhythm.beat_count
    assert (half.rhythm.rr_from_s >= 5.0).all()


def test_the_pdf_is_handed_out(client: TestClient, recording_id: int) -> None:
    address = f"/recordings/{recording_id}/strip.pdf?lead=II&lead=V1&lead=&seconds=5"
    answer = client.get(address)
    assert answer.status_code == 200
    assert answer.content.startswith(b"%PDF")
    assert "strip.pdf" in answer.headers["content-disposition"]


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ("lead=V9", "V9"),
        ("lead=II&lead=II", "named twice"),
        ("lead=I&lead=II&lead=III&lead=V1", "one to three"),
        ("from_s=99", "choose a start within"),
        ("speed=30", "30"),
        ("from_s=nan", "from s"),
    ],
)
def test_what_cannot_be_drawn_is_said(
    client: TestClient, recording_id: int, query: str, words: str
) -> None:
    for kind in ("", ".svg", ".pdf"):
        answer = client.get(f"/recordings/{recording_id}/strip{kind}?{query}")
        assert answer.status_code == 422, answer.text
        assert words in answer.text


def test_what_is_not_there(client: TestClient, recording_id: int) -> None:
    assert client.get("/recordings/999/strip").status_code == 404
    assert client.get(f"/recordings/{recording_id}/strip.svg?page=9").status_code == 404
    assert client.post(f"/recordings/{recording_id}/strip").status_code in {403, 405}
