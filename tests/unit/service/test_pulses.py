"""A recording of a recorder's own pulse is the recorder's from the start, and nobody's."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from tests.unit.quality.test_calibration_pulse import make_pulse
from tests.unit.web.conftest import write_csv

from couchside.errors import Conflict, InvalidInput
from couchside.formats import ArrivedFile, Parcel
from couchside.recording import Patient
from couchside.service.desk import Desk
from couchside.service.exporting import export_page, export_put_right
from couchside.service.matching import match
from couchside.service.opening import open_recording
from couchside.service.patients import open_patient
from couchside.service.printing import print_recordings
from couchside.service.protocols import PROTOCOL_FILE, get_example_protocol
from couchside.service.pulses import NO_PULSE_NOTE, PulseSaying, say_pulse
from couchside.service.receiving import Outcome, Received, receive
from couchside.service.recorders import RecorderFacts, register_recorder
from couchside.service.rounds import list_round, open_order
from couchside.service.stripping import StripChoice, export_strip
from couchside.service.summaries import OrderSummary, State
from couchside.service.telling import list_to_tell
from couchside.service.trail import list_trail
from couchside.store.words import Source

Deeds = Callable[[], list[tuple[str, str, str]]]


def pulse_parcel(*, height_uv: float = 1000.0, patient: Patient | None = None) -> Parcel:
    recording = replace(make_pulse(height_uv=height_uv), patient=patient or Patient())
    return Parcel(files=(ArrivedFile(name="pulse.csv", content=write_csv(recording)),))


def hand_in(desk: Desk, parcel: Parcel) -> int:
    received = receive(desk, parcel, source=Source.UPLOAD)
    assert received.recording is not None
    return received.recording.id


def test_a_pulse_is_nobodys_even_where_it_bears_a_patient_number(
    desk: Desk, order: OrderSummary, patient: Patient, deeds: Deeds
) -> None:
    parcel = pulse_parcel(patient=patient)
    received = receive(desk, parcel, source=Source.UPLOAD)
    assert received.outcome is Outcome.PULSE
    assert received.sentence == (
        "pulse.csv: the calibration pulse of an unknown recorder; it passes"
    )
    listed = list_round(desk)
    assert listed.unmatched == ()
    assert listed.entries[0].state is State.WAITING
    assert open_patient(desk, patient.identifier).visits == ()
    assert received.recording is not None
    opened = open_recording(desk, received.recording.id)
    assert opened.is_pulse
    assert opened.pulse is not None
    assert (opened.pulse.number, opened.pulse.has_passed, opened.pulse.failures) == (1, True, {})
    assert ("Robin", "said whether it is a calibration pulse", "recording") in deeds()
    with pytest.raises(InvalidInput, match="is of a recorder’s own pulse"):
        match(desk, recording_id=opened.summary.id, order_id=order.id)
    assert receive(desk, parcel, source=Source.UPLOAD).outcome is Outcome.ALREADY_HERE


def test_a_pulse_is_printed_under_nobodys_name(desk: Desk, patient: Patient) -> None:
    number = hand_in(desk, pulse_parcel(patient=patient))
    before = list_trail(desk, count=1)
    said = "recorder’s own pulse and nobody’s"
    with pytest.raises(InvalidInput, match=said):
        export_page(desk, number)
    with pytest.raises(InvalidInput, match=said):
        export_strip(desk, number, StripChoice())
    with pytest.raises(InvalidInput, match=said):
        print_recordings(desk, [number])
    with pytest.raises(InvalidInput, match=said):
        export_put_right(desk, number)
    assert list_trail(desk, count=1) == before
    say_pulse(desk, number, PulseSaying(is_pulse=False, seen_number=1))
    assert export_page(desk, number).content.startswith(b"%PDF")


def test_a_wrong_pulse_is_a_pulse_that_does_not_pass(desk: Desk) -> None:
    pulse = open_recording(desk, hand_in(desk, pulse_parcel(height_uv=900.0))).pulse
    assert pulse is not None
    assert not pulse.has_passed
    assert pulse.failures["V1"] == "the pulse is 0.90 mV high, not 1.00 mV ± 5 %"


def test_a_person_may_say_that_it_is_none_and_nobody_speaks_over_another(desk: Desk) -> None:
    number = hand_in(desk, pulse_parcel())
    no = PulseSaying(is_pulse=False, seen_number=1)
    assert not say_pulse(desk, number, no).is_pulse
    assert [each.id for each in list_round(desk).unmatched] == [number]
    assert list_round(desk).unmatched[0].note == NO_PULSE_NOTE
    with pytest.raises(Conflict, match="Robin spoke meanwhile"):
        say_pulse(desk, number, no)


def test_a_recording_under_an_order_leaves_it_with_a_reason(
    desk: Desk, order: OrderSummary, drop: Callable[..., Received], deeds: Deeds
) -> None:
    recording = drop().recording
    assert recording is not None
    assert open_order(desk, order.id).attempt_count == 1
    yes = PulseSaying(is_pulse=True, seen_number=0)
    with pytest.raises(InvalidInput, match="lies under an order; write why"):
        say_pulse(desk, recording.id, yes)
    said = say_pulse(desk, recording.id, replace(yes, because="a test with a simulator box"))
    assert (said.is_pulse, said.has_passed, said.number) == (True, False, 1)
    assert open_order(desk, order.id).attempt_count == 0
    assert list_round(desk).unmatched == ()
    assert ("Robin", "taken off its order", "recording") in deeds()
    again = drop(start="2026-03-02T08:09:00").recording
    assert again is not None
    assert open_order(desk, order.id).attempt_count == 1
    say_pulse(desk, recording.id, PulseSaying(is_pulse=False, seen_number=1))
    entry = open_order(desk, order.id)
    assert entry.attempt_count == 2, "it is back where it was"
    assert entry.latest is not None
    assert (entry.latest.recording_id, entry.latest.number) == (again.id, 2)


def test_a_pulse_is_the_named_recorders(desk: Desk) -> None:
    cart = register_recorder(desk, RecorderFacts(name="Cart 1", serial_number="S-1"))
    number = hand_in(desk, pulse_parcel())
    said = say_pulse(desk, number, PulseSaying(is_pulse=True, seen_number=1, recorder_id=cart.id))
    assert (said.recorder_name, said.number) == ("Cart 1", 2)


def test_what_is_to_be_told_of_a_pulse_is_told_of_nobody_and_of_a_person_again(
    desk: Desk, order: OrderSummary, drop: Callable[..., Received]
) -> None:
    text = get_example_protocol().replace("at_most = 35", "at_most = 200")
    (desk.data_folder / PROTOCOL_FILE).write_text(text, encoding="utf-8")
    recording = drop().recording
    assert recording is not None
    told = [each.told for each in list_to_tell(desk)]
    assert told
    reason = "the gain was tested"
    say_pulse(desk, recording.id, PulseSaying(is_pulse=True, seen_number=0, because=reason))
    assert list_to_tell(desk) == ()
    say_pulse(desk, recording.id, PulseSaying(is_pulse=False, seen_number=1))
    assert [each.told for each in list_to_tell(desk)] == told, "it is a person's again"
