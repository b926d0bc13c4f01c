"""Beats and boundaries by the API: for whom, and what is written down of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

import pytest
from fastapi.testclient import TestClient
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
)
from couchside.service.trail import list_trail
from couchside.store.words import Role


class Bring(Protocol):
    """Hands in a simulated recording."""

    def __call__(
        self, scenario: str = "good", *, patient: Patient = ..., name: str = ...
    ) -> Received:
        """Receive it."""


ComeAs = Callable[[Role | None], TestClient]


@pytest.fixture
def ids(desk: Desk, order_id: int, bring: Bring) -> tuple[int, int]:
    """A kept recording of `PATIENT`, and the next one of the same heart."""
    assert order_id
    kept = bring().recording
    assert kept is not None
    decide(desk, RecordingDecision(recording_id=kept.id, kind=DecisionKind.KEEP, seen_number=0))
    add_order(desk, NewOrder(patient=PATIENT))
    following = bring("good-fast-rate", name="next.csv").recording
    assert following is not None
    return kept.id, following.id


def test_beats_are_told_of_the_stretch_asked_for(client: TestClient, ids: tuple[int, int]) -> None:
    address = f"/api/recordings/{ids[1]}/waves"
    told = client.get(address).json()
    assert told["leads"][:2] == ["I", "II"]
    assert len(told["beats"]) > 5
    part = client.get(address, params={"start_s": 3, "length_s": 2}).json()
    assert part["beats"] == [each for each in told["beats"] if 3 <= each["at_s"] < 5]
    for wrong in ({"length_s": 0}, {"start_s": -1}, {"length_s": 1e6}, {"start_s": "nan"}):
        refused = client.get(address, params=wrong)
        assert refused.status_code == 422
        assert refused.json()["sentence"]
    missing = client.get("/api/recordings/999/waves")
    assert missing.status_code == 404


def test_the_earlier_beat_is_a_look_at_the_earlier_recording(
    desk: Desk, come_as: ComeAs, ids: tuple[int, int]
) -> None:
    kept_id, next_id = ids
    reader = come_as(Role.READER)
    told = reader.get(f"/api/recordings/{next_id}/earlier-beat").json()
    assert told["recording_id"] == kept_id
    assert told["beat"]["leads"][:2] == ["I", "II"]
    looks = {each.subject_id for each in list_trail(desk, count=50) if each.what == "viewed"}
    assert looks == {str(kept_id), str(next_id)}
    first = reader.get(f"/api/recordings/{kept_id}/earlier-beat").json()
    assert (first["recording_id"], first["beat"]) == (None, None)


def test_strangers_are_told_nothing(come_as: ComeAs, ids: tuple[int, int]) -> None:
    for part in ("waves", "earlier-beat"):
        assert come_as(None).get(f"/api/recordings/{ids[1]}/{part}").status_code == 401


def test_the_page_offers_the_earlier_beat_where_there_is_one(
    client: TestClient, ids: tuple[int, int]
) -> None:
    offered = ['value="earlier"' in client.get(f"/recordings/{each}").text for each in ids]
    assert offered == [False, True]
