"""A recording beside the earlier kept one of the same person."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Protocol

import pytest
from fastapi.testclient import TestClient
from jsonschema import Draft202012Validator
from tests.unit.web.conftest import PATIENT

from couchside.recording import Patient
from couchside.service import (
    DecisionKind,
    Desk,
    NewOrder,
    Received,
    RecordingDecision,
    add_order,
    decide,
    match,
    open_recording,
)
from couchside.service.printing import list_printable
from couchside.service.trail import Deed, list_trail

SCHEMA_FILE = Path(__file__).parents[3] / "docs" / "schema" / "check.schema.json"


class Bring(Protocol):
    """Hands in a simulated recording."""

    def __call__(
        self, scenario: str = "good", *, patient: Patient = ..., name: str = ...
    ) -> Received:
        """Receive it."""


@pytest.fixture
def kept_id(desk: Desk, order_id: int, bring: Bring) -> int:
    """A kept recording of `PATIENT`."""
    return keep(desk, bring())


def keep(desk: Desk, received: Received) -> int:
    assert received.recording is not None
    wish = RecordingDecision(
        recording_id=received.recording.id, kind=DecisionKind.KEEP, seen_number=0
    )
    decide(desk, wish)
    return received.recording.id


@pytest.fixture
def next_id(desk: Desk, kept_id: int, bring: Bring) -> int:
    """The next recording of the same person and heart."""
    add_order(desk, NewOrder(patient=PATIENT))
    received = bring("good-fast-rate", name="next.csv")
    assert received.recording is not None
    return received.recording.id


def test_the_page_shows_what_changed(client: TestClient, kept_id: int, next_id: int) -> None:
    text = client.get(f"/recordings/{next_id}").text
    assert "Against an earlier recording" in text
    assert f'href="/recordings/{kept_id}"' in text
    assert "Measures then and now" in text
    assert f"/recordings/{next_id}/comparison.svg" in text


def test_the_drawings_are_handed_out(client: TestClient, next_id: int) -> None:
    drawing = client.get(f"/recordings/{next_id}/comparison.svg")
    assert drawing.headers["content-type"] == "image/svg+xml"
    assert "stroke-dasharray" in drawing.text
    page = client.get(f"/recordings/{next_id}/comparison.pdf")
    assert page.content.startswith(b"%PDF")
    assert page.headers["content-security-policy"] == drawing.headers["content-security-policy"]


def test_the_assessment_holds_the_comparison_by_its_schema(
    client: TestClient, kept_id: int, next_id: int
) -> None:
    validator = Draft202012Validator(json.loads(SCHEMA_FILE.read_text("utf-8")))
    documents = {each: client.get(f"/api/recordings/{each}").json() for each in (kept_id, next_id)}
    for document in documents.values():
        validator.validate(document)
    assert documents[kept_id]["comparison"] is None
    held = documents[next_id]["comparison"]
    assert held["old"]["file"] == documents[kept_id]["file"]
    assert held["new"]["file"] == documents[next_id]["file"]
    rate = next(each for each in held["changes"] if each["name"] == "heart_rate")
    assert rate["uncertainty"] > 0.0


def test_a_comparison_opened_as_pdf_is_noted_as_printed(
    client: TestClient, desk: Desk, kept_id: int, next_id: int
) -> None:
    """Of the person's page too; the recording's own page is still to be printed."""
    query = f"number={PATIENT.identifier}&one={kept_id}&other={next_id}"
    addresses = (f"/recordings/{next_id}/comparison.pdf", f"/patients/comparison.pdf?{query}")
    for address in addresses:
        assert client.get(address).content.startswith(b"%PDF")
    printed = [each for each in list_trail(desk, count=20) if each.what == Deed.PRINTED.value]
    noted = [(each.subject_id, each.detail) for each in printed]
    assert noted == [(str(next_id), {"pages": ["comparison"], "paper": "A4"})] * 2
    assert all(each.printed is None for each in list_printable(desk, desk.today()))


@pytest.mark.parametrize("ending", ["svg", "pdf"])
def test_without_an_earlier_recording_there_is_nothing_to_draw(
    client: TestClient, kept_id: int, ending: str
) -> None:
    assert "Against an earlier recording" not in client.get(f"/recordings/{kept_id}").text
    assert client.get(f"/recordings/{kept_id}/comparison.{ending}").status_code == 404
    assert client.get(f"/recordings/99/comparison.{ending}").status_code == 404
    assert client.post(f"/recordings/{kept_id}/comparison.{ending}").status_code == 405


def test_a_recording_that_was_not_kept_is_not_compared_with(
    desk: Desk, order_id: int, bring: Bring
) -> None:
    bring()
    later = bring("good-fast-rate", name="next.csv").recording
    assert later is not None
    assert open_recording(desk, later.id).comparison is None


def test_the_printed_page_names_the_earlier_recording(client: TestClient, next_id: int) -> None:
    text = client.get(f"/recordings/{next_id}/page.svg").text
    assert "Compared with" in text


def test_lost_bytes_of_the_earlier_one_keep_nobody_from_the_new_one(
    desk: Desk, kept_id: int, next_id: int
) -> None:
    opened = open_recording(desk, kept_id)
    sha256 = opened.summary.files[0].sha256
    for path in desk.store.vault.folder.rglob(f"*{sha256[4:]}*"):
        path.unlink()
    fresh = Desk(store=desk.store, who=desk.who, clock=desk.clock, zone=desk.zone)
    assert open_recording(fresh, next_id).comparison is None


def test_it_is_compared_by_the_order_where_the_file_states_nobody(
    desk: Desk, kept_id: int, bring: Bring
) -> None:
    recording = bring("good-fast-rate", patient=Patient(), name="nobody.csv").recording
    assert recording is not None
    assert open_recording(desk, recording.id).comparison is None
    order = add_order(desk, NewOrder(patient=PATIENT))
    match(desk, recording_id=recording.id, order_id=order.id)
    opened = open_recording(desk, recording.id)
    assert opened.comparison is not None
    assert opened.earlier_id == kept_id
