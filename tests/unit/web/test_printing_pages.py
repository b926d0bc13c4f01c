"""Printing a round: who may, what is chosen beforehand, and the pages of the department."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO

import pytest
from fastapi.testclient import TestClient
from pypdf import PdfReader

from couchside.service import Desk, Received, get_settings
from couchside.service.settings import PrintedPart
from couchside.service.trail import list_trail
from couchside.store.words import Role


@pytest.fixture
def recording_id(client: TestClient, order_id: int, bring: Callable[..., Received]) -> int:
    received = bring()
    assert received.recording is not None
    form = {"kind": "keep", "seen_number": "0", "advised": received.recording.verdict.value}
    client.post(f"/recordings/{received.recording.id}/decision", data=form)
    return received.recording.id


def test_a_round_is_chosen_printed_and_then_no_more(client: TestClient, recording_id: int) -> None:
    assert "/print?day=" in client.get("/round").text
    assert "/print?day=" in client.get("/round/end").text
    chosen = f'value="{recording_id}" aria-label="Print Quill, Ada" checked'
    before = client.get("/print").text
    assert chosen in before
    assert "not printed today" in before
    answer = client.get(f"/print.pdf?recordings={recording_id}")
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF")
    after = client.get("/print").text
    assert chosen not in after
    assert "by Test Person" in after
    assert f"/print.pdf?recordings={recording_id}" in client.get(f"/recordings/{recording_id}").text


def test_whoever_may_see_prints_and_a_stranger_does_not(
    come_as: Callable[[Role | None], TestClient], order_id: int, bring: Callable[..., Received]
) -> None:
    received = bring()
    assert received.recording is not None
    address = f"/print.pdf?recordings={received.recording.id}"
    assert come_as(Role.READER).get(address).status_code == 200
    for path in ("/print", address):
        assert come_as(None).get(path).headers["location"].startswith("/sign-in")


def test_a_lead_chooses_the_pages_and_a_recorder_does_not(
    come_as: Callable[[Role | None], TestClient], desk: Desk
) -> None:
    form = {"page_set": ["12x1", "comparison"]}
    assert come_as(Role.RECORDER).post("/settings/pages", data=form).status_code == 403
    lead = come_as(Role.LEAD)
    assert lead.post("/settings/pages", data=form).status_code == 303
    assert get_settings(desk).page_set == (PrintedPart.TWELVE_BY_ONE, PrintedPart.COMPARISON)
    assert "tracing 12 × 1, measures, findings; comparison" in lead.get("/print").text
    refused = lead.post("/settings/pages", data={"page_set": ["strip"]})
    assert refused.status_code == 422
    assert "No tracing is chosen to be printed" in refused.text
    assert lead.post("/settings/pages", data={"page_set": ["glossy"]}).status_code == 422
    kept = {"colour_code": "AHA", "paper_size": "A4"}
    assert lead.post("/settings", data=kept).status_code == 303
    assert get_settings(desk).page_set == (PrintedPart.TWELVE_BY_ONE, PrintedPart.COMPARISON)


def test_the_evidence_is_printed_where_there_is_any(
    client: TestClient, desk: Desk, recording_id: int, bring: Callable[..., Received]
) -> None:
    faulty = bring("mains-on-v3").recording
    assert faulty is not None
    client.post("/settings/pages", data={"page_set": ["evidence", "3x4+1"]})
    printed = client.get(f"/print.pdf?recordings={recording_id}&recordings={faulty.id}").content
    assert "Evidence" in PdfReader(BytesIO(printed)).pages[-1].extract_text()
    pages = [each.detail["pages"] for each in list_trail(desk, count=2)]
    assert pages == [["3x4+1"], ["3x4+1", "evidence"]]


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/print.pdf", 422),
        ("/print.pdf?recordings=77", 404),
        ("/print.pdf?recordings=0", 404),
        ("/print.pdf?recordings=99999999999999999999", 404),
        ("/print?day=tomorrow", 422),
    ],
)
def test_what_is_not_there_is_answered_kindly(client: TestClient, path: str, status: int) -> None:
    assert client.get(path).status_code == status
    assert client.post("/print").status_code == 405
