"""What to know of a person before recording: noted, derived, refused, and kept in versions."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from fastapi.testclient import TestClient
from tests.unit.web.conftest import PATIENT

from couchside.recording import Electrode, Placement
from couchside.service import (
    Condition,
    Desk,
    NewOrder,
    Received,
    add_order,
    find_what_to_know,
)
from couchside.store.queries.trail import list_audit_entries

Bring = Callable[..., Received]
NOTES = {
    "seen_number": "0",
    "placement": Placement.TORSO.value,
    "electrodes": ["C3", "RA"],
    "conditions": ["tremor", "pacemaker"],
    "words": "turns to the left",
}


def test_notes_are_kept_with_time_and_person(client: TestClient, desk: Desk, order_id: int) -> None:
    assert "Nothing is noted" in client.get(f"/orders/{order_id}").text
    answer = client.post(f"/orders/{order_id}/notes", data=NOTES)
    assert (answer.status_code, answer.headers["location"]) == (303, f"/orders/{order_id}#knowing")
    known = find_what_to_know(desk, order_id)
    assert known.written is not None
    assert known.written.notes.electrodes == (Electrode.RA, Electrode.C3)
    assert known.written.notes.conditions == (Condition.TREMOR, Condition.PACEMAKER)
    assert (known.written.number, known.written.who) == (1, "Test Person")
    page = client.get(f"/orders/{order_id}").text
    for line in (
        "Tremor, Pacemaker",
        "Placement: limb electrodes on the torso",
        "Gave trouble: right arm and V3 electrode",
        "turns to the left",
    ):
        assert f"<li>{line}</li>" in page
    assert 'aria-current="page">Limb electrodes on the torso</a>' in page, "the guide opens there"
    with desk.store.reading() as session:
        assert "noted" in [row.what for row in list_audit_entries(session)]


def test_notes_follow_the_person_to_the_next_order(
    client: TestClient, desk: Desk, order_id: int
) -> None:
    client.post(f"/orders/{order_id}/notes", data=NOTES)
    following = add_order(desk, NewOrder(patient=PATIENT)).id
    assert "turns to the left" in client.get(f"/orders/{following}").text


def test_two_people_do_not_note_over_each_other(client: TestClient, order_id: int) -> None:
    address = f"/orders/{order_id}/notes"
    assert client.post(address, data=NOTES).status_code == 303
    answer = client.post(address, data=NOTES)
    assert answer.status_code == 409
    assert "Test Person noted something meanwhile" in answer.text
    assert client.post(address, data=NOTES | {"seen_number": "1"}).status_code == 303


def test_earlier_recordings_say_placement_and_trouble(
    client: TestClient, desk: Desk, bring: Bring, order_id: int
) -> None:
    recording = bring("mains-on-v3").recording
    assert recording is not None
    form = {"seen_number": "0", "placement": Placement.RIGHT_SIDED.value}
    client.post(f"/recordings/{recording.id}/circumstances", data=form)
    assert find_what_to_know(desk, order_id).troubles == (), "its own order is no earlier one"
    following = add_order(desk, NewOrder(patient=PATIENT)).id
    known = find_what_to_know(desk, following)
    assert [each.placement for each in known.placements] == [Placement.RIGHT_SIDED]
    assert [each.electrodes for each in known.troubles] == [(Electrode.C3,)]
    page = client.get(f"/orders/{following}").text
    assert "recorded with right-sided chest leads</a>" in page
    assert "had to be recorded again, mains interference: V3 electrode</a>" in page
    assert f'href="/recordings/{recording.id}"' in page


@pytest.mark.parametrize(
    ("path", "changes", "status"),
    [
        ("/orders/99/notes", {}, 404),
        ("/orders/1/notes", {"placement": "upside down"}, 422),
        ("/orders/1/notes", {"conditions": ["tall"]}, 422),
        ("/orders/1/notes", {"words": "x" * 2001}, 422),
    ],
)
def test_what_cannot_be_noted_is_refused(
    client: TestClient, order_id: int, path: str, changes: dict[str, object], status: int
) -> None:
    assert client.post(path, data=NOTES | changes).status_code == status
    assert client.get("/orders/1/notes").status_code == 405
