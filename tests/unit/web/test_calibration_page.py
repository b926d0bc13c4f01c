"""The page that checks a recorder's own pulse."""

from __future__ import annotations

from collections.abc import Callable

from fastapi.testclient import TestClient
from tests.unit.quality.test_calibration_pulse import make_pulse
from tests.unit.web.conftest import write_csv

from couchside.formats import ArrivedFile, Parcel
from couchside.service import Desk, Received, Source, receive
from couchside.store.words import Role


def hand_in(desk: Desk, height_uv: float) -> str:
    content = write_csv(make_pulse(height_uv=height_uv))
    parcel = Parcel(files=(ArrivedFile(name="pulse.csv", content=content),))
    received = receive(desk, parcel, source=Source.UPLOAD)
    assert received.recording is not None
    return f"/recordings/{received.recording.id}/calibration"


def test_a_right_pulse_passes_in_words(client: TestClient, desk: Desk) -> None:
    text = client.get(hand_in(desk, 1000.0)).text
    assert "The pulse is right in every lead." in text
    assert "Does not pass." not in text


def test_a_low_pulse_says_how_low(client: TestClient, desk: Desk) -> None:
    text = client.get(hand_in(desk, 900.0)).text
    assert "Does not pass." in text
    assert "the pulse is 0.90 mV high, not 1.00 mV ± 5 %" in text


def test_a_pulse_is_known_at_arrival_and_a_person_may_say_otherwise(
    client: TestClient, desk: Desk
) -> None:
    address = hand_in(desk, 1000.0)
    recording = address.removesuffix("/calibration")
    assert client.get(recording).headers["location"] == address
    assert "Taken for a calibration pulse by its signal" in client.get(address).text
    assert 'id="unmatched-part"' not in client.get("/round").text
    form = {"is_pulse": "no", "seen_number": "1"}
    assert client.post(f"{recording}/pulse", data=form).headers["location"] == recording
    assert client.get(recording).status_code == 200
    assert 'id="unmatched-part"' in client.get("/round").text
    assert client.post(f"{recording}/pulse", data=form).status_code == 409
    back = {"is_pulse": "yes", "seen_number": "2", "recorder": ""}
    assert client.post(f"{recording}/pulse", data=back).headers["location"] == address
    assert "Test Person said that it is a calibration pulse" in client.get(address).text


def test_what_is_said_of_nothing_is_refused(client: TestClient, desk: Desk) -> None:
    recording = hand_in(desk, 1000.0).removesuffix("/calibration")
    for wrong in ("7", "x", "-1", "9" * 30):
        form = {"is_pulse": "yes", "seen_number": "1", "recorder": wrong}
        assert client.post(f"{recording}/pulse", data=form).status_code == 404
    assert client.post(f"{recording}/pulse", data={"is_pulse": "yes"}).status_code == 422


def test_a_person_is_no_pulse_and_the_page_is_for_those_who_may_see(
    come_as: Callable[[Role | None], TestClient], bring: Callable[..., Received]
) -> None:
    recording = bring().recording
    assert recording is not None
    address = f"/recordings/{recording.id}/calibration"
    assert "hand in one of the pulse" in come_as(Role.READER).get(address).text
    assert come_as(None).get(address).status_code == 303
    assert come_as(Role.READER).post(address).status_code in {403, 405}
    assert come_as(Role.READER).get("/recordings/99/calibration").status_code == 404
