from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from sqlalchemy import select

from couchside.errors import NotFound, StoreError
from couchside.formats import Parcel, read_parcel
from couchside.quality.model import Assessment, Verdict
from couchside.quality.policy import Policy
from couchside.recording import Recording
from couchside.service.assessment_json import assessment_to_json
from couchside.service.desk import Desk
from couchside.service.opening import open_recording
from couchside.service.readings import Reading, RecentReadings
from couchside.service.receiving import Received, receive
from couchside.service.remembering import Remembered
from couchside.service.rounds import list_round
from couchside.service.summaries import OrderSummary
from couchside.store.tables import AssessmentRow
from couchside.store.words import Source

Drop = Callable[..., Received]
Deeds = Callable[[], list[tuple[str, str, str]]]


def with_empty_hands(desk: Desk) -> Desk:
    """The same desk after a restart: nothing decoded is at hand."""
    return Desk(store=desk.store, who=desk.who, clock=desk.clock, zone=desk.zone)


def test_a_recording_is_decoded_anew_from_its_bytes(
    desk: Desk, make_parcel: Callable[..., Parcel], order: OrderSummary
) -> None:
    parcel = make_parcel()
    received = receive(desk, parcel, source=Source.UPLOAD)
    opened = open_recording(with_empty_hands(desk), 1)
    np.testing.assert_array_equal(opened.recording.microvolts, read_parcel(parcel).microvolts)
    assert opened.summary == received.recording
    assert opened.order == order
    assert opened.attempt_number == 1
    assert opened.decision_number == 0


def test_a_recording_at_hand_is_not_decoded_again(
    desk: Desk, drop: Drop, monkeypatch: pytest.MonkeyPatch
) -> None:
    drop()
    monkeypatch.delattr("couchside.service.comparing.derive")
    first = open_recording(desk, 1)
    assert open_recording(replace(desk, remembered=Remembered()), 1).recording is first.recording


def test_what_the_check_said_is_filed_with_its_version(desk: Desk, drop: Drop) -> None:
    drop()
    opened = open_recording(desk, 1)
    with desk.store.reading() as session:
        (row,) = session.scalars(select(AssessmentRow)).all()
        assert row.document == assessment_to_json(opened.recording, opened.assessment)
        assert row.code_version == opened.assessment.code_version


def test_a_new_version_assesses_again_and_the_old_assessment_stays(
    desk: Desk, drop: Drop, order: OrderSummary, deeds: Deeds, monkeypatch: pytest.MonkeyPatch
) -> None:
    drop()

    def check_otherwise(recording: Recording, policy: Policy) -> Assessment:
        known = open_recording(desk, 1).assessment
        return Assessment(
            verdict=Verdict.RECORD_AGAIN,
            findings=known.findings,
            measures=known.measures,
            waves=known.waves,
            electrode_noise=None,
            code_version="next",
            policy=known.policy,
        )

    monkeypatch.setattr("couchside.service.policies.check", check_otherwise)
    for _ in range(2):
        opened = open_recording(with_empty_hands(desk), 1)
        assert opened.assessment.code_version == "next"
        assert opened.summary.verdict is Verdict.RECORD_AGAIN
    assert list_round(desk).entries[0].verdict is Verdict.RECORD_AGAIN
    with desk.store.reading() as session:
        assert len(session.scalars(select(AssessmentRow)).all()) == 2
    assert deeds().count(("Robin", "assessed again", "recording")) == 1


def test_what_is_not_there_is_not_found(desk: Desk) -> None:
    with pytest.raises(NotFound, match="there is no recording 1"):
        open_recording(desk, 1)


def test_changed_bytes_are_never_shown(desk: Desk, drop: Drop) -> None:
    recording = drop().recording
    assert recording is not None
    path = next(desk.store.vault.folder.glob(f"??/??/{recording.sha256}"))
    path.chmod(0o600)
    path.write_bytes(path.read_bytes().replace(b"500", b"400"))
    with pytest.raises(StoreError, match="has changed on the disk"):
        open_recording(with_empty_hands(desk), 1)


def test_readings_at_hand_stay_within_their_room(desk: Desk, drop: Drop) -> None:
    drop()
    opened = open_recording(desk, 1)
    reading = Reading(recording=opened.recording, assessment=opened.assessment)
    size = opened.recording.microvolts.nbytes
    readings = RecentReadings(max_bytes=2 * size)
    for name in ("a", "b"):
        readings.keep(name, reading)
    assert readings.find("a") is reading
    readings.keep("c", reading)
    assert readings.find("b") is None  # the least used
    assert readings.find("a") is reading
    assert readings.find("c") is reading


def test_a_reading_too_large_for_the_room_pushes_nothing_out(desk: Desk, drop: Drop) -> None:
    drop()
    opened = open_recording(desk, 1)
    reading = Reading(recording=opened.recording, assessment=opened.assessment)
    readings = RecentReadings(max_bytes=opened.recording.microvolts.nbytes - 1)
    readings.keep("a", reading)
    assert readings.find("a") is None
