from __future__ import annotations

import hashlib
import zipfile
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from io import BytesIO

import pytest

from couchside.formats import ArrivedFile, Parcel, ReadHints, read_parcel
from couchside.quality import check
from couchside.quality.model import Verdict
from couchside.recording import Patient
from couchside.service.deciding import RecordingDecision, decide
from couchside.service.derive import derive
from couchside.service.desk import Desk
from couchside.service.ordering import NewOrder, add_order
from couchside.service.policies import ChosenPolicy
from couchside.service.readings import Reading
from couchside.service.receiving import Outcome, Received, is_known, receive
from couchside.service.rounds import list_round
from couchside.service.set_aside import set_problem_aside
from couchside.service.summaries import OrderSummary
from couchside.store.words import DecisionKind, FiledBy, Source

Drop = Callable[..., Received]
MakeParcel = Callable[..., Parcel]
Deeds = Callable[[], list[tuple[str, str, str]]]


def parcel_of(name: str, content: bytes) -> Parcel:
    return Parcel(files=(ArrivedFile(name=name, content=content),))


def zip_of(parcel: Parcel) -> Parcel:
    buffer = BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        for file in parcel.files:
            archive.writestr(file.name, file.content)
    return parcel_of("packed.zip", buffer.getvalue())


def test_the_bytes_are_in_the_vault_as_they_came(desk: Desk, make_parcel: MakeParcel) -> None:
    parcel = make_parcel()
    received = receive(desk, parcel, source=Source.UPLOAD)
    assert received.recording is not None
    file = received.recording.files[0]
    assert desk.store.vault.get(file.sha256) == parcel.main.content
    assert file.sha256 == hashlib.sha256(parcel.main.content).hexdigest()


def test_what_the_file_states_is_filed(desk: Desk, drop: Drop, patient: Patient) -> None:
    recording = drop(station_name="Room 2", accession_number=" A-9 ").recording
    assert recording is not None
    assert recording.patient == patient
    assert recording.accession == "A-9"
    assert recording.device.station_name == "Room 2"
    assert (recording.rate_hz, recording.duration_s, len(recording.leads)) == (500.0, 10.0, 12)
    assert recording.start is not None
    assert recording.start.isoformat() == "2026-03-02T08:05:00"
    assert (recording.received_by, recording.source) == ("Robin", Source.UPLOAD)


def test_the_verdict_is_that_of_the_check(desk: Desk, make_parcel: MakeParcel) -> None:
    parcel = make_parcel(birth_date=None)
    received = receive(desk, parcel, source=Source.UPLOAD)
    expected = check(read_parcel(parcel)).verdict
    assert received.recording is not None
    assert received.recording.verdict is expected
    assert expected is not Verdict.KEEP


def test_it_is_filed_by_its_accession_number(drop: Drop, order: OrderSummary) -> None:
    received = drop(accession_number="A-1", patient_id=None, birth_date=None)
    assert received.outcome is Outcome.FILED
    assert received.order == order
    assert received.sentence.endswith("; attempt 1 for Fernhollow, Ines")


@pytest.mark.parametrize("start", ["2026-03-01T00:00:00", "2026-03-03T23:59:00", None])
def test_an_accession_number_holds_for_a_day_before_and_after(
    drop: Drop, order: OrderSummary, start: str | None
) -> None:
    assert drop(accession_number="A-1", start=start).outcome is Outcome.FILED


def test_it_is_filed_by_patient_number_under_the_one_order_that_waits(
    desk: Desk, drop: Drop, order: OrderSummary
) -> None:
    received = drop()
    assert received.outcome is Outcome.FILED
    latest = list_round(desk).entries[0].latest
    assert latest is not None
    assert latest.filed_by is FiledBy.PATIENT_NUMBER


def test_the_next_recording_is_the_next_attempt(
    desk: Desk, drop: Drop, order: OrderSummary
) -> None:
    drop(seed=1)
    received = drop(seed=2)
    assert received.sentence.endswith("; attempt 2 for Fernhollow, Ines")
    assert list_round(desk).entries[0].attempt_count == 2


@pytest.mark.parametrize(
    ("statements", "note"),
    [
        ({"patient_id": None}, "the recording states no patient number"),
        ({"patient_id": "Q-8"}, "no order of today waits for patient Q-8"),
        ({"start": None}, "the recording does not state when it was made"),
        (
            {"start": "2026-03-01T23:59:00"},
            (
                "it states patient Q-7, who is on today's round, "
                "but it was recorded on 2026-03-01, not today"
            ),
        ),
        (
            {"start": "2026-03-01T23:59:00", "patient_id": "Q-8"},
            "it was recorded on 2026-03-01, not today",
        ),
        (
            {"accession_number": "A-1", "start": "2026-02-28T08:00:00"},
            "it was recorded on 2026-02-28, but the order A-1 is for 2026-03-02",
        ),
        (
            {"accession_number": "A-1", "start": "2020-01-01T08:00:00", "patient_id": "Q-8"},
            (
                "it states patient Q-8, but the order is for patient Q-7; "
                "it was recorded on 2020-01-01, but the order A-1 is for 2026-03-02"
            ),
        ),
        (
            {"accession_number": "A-1", "sex": "male"},
            "it states the sex male, but the order's patient is female",
        ),
        ({"sex": "male"}, "it states the sex male, but the order's patient is female"),
        (
            {"accession_number": "A-1", "patient_id": "Q-8"},
            "it states patient Q-8, but the order is for patient Q-7",
        ),
        (
            {"accession_number": "A-1", "birth_date": "1961-05-18"},
            "it states a birth date of 1961-05-18, but the order's patient was born on 1961-05-17",
        ),
        (
            {"birth_date": "1961-05-18"},
            "it states a birth date of 1961-05-18, but the order's patient was born on 1961-05-17",
        ),
        (
            {"accession_number": "A-2"},
            "there is no order A-2, and no order of today waits for patient Q-7",
        ),
    ],
)
def test_where_anything_speaks_against_it_a_person_must_match(
    desk: Desk, drop: Drop, order: OrderSummary, statements: dict[str, str | None], note: str
) -> None:
    received = drop(**statements)
    assert received.outcome is Outcome.UNMATCHED
    assert received.order is None
    assert received.sentence.endswith(f"under no order, because {note}")
    listed = list_round(desk)
    assert [recording.note for recording in listed.unmatched] == [note]
    assert listed.entries[0].attempt_count == 0


def test_two_orders_that_wait_for_one_patient_are_told_apart_by_a_person(
    desk: Desk, drop: Drop, order: OrderSummary, patient: Patient
) -> None:
    add_order(desk, NewOrder(patient=patient, accession="A-2"))
    assert drop().sentence.endswith("2 orders of today wait for patient Q-7")


def test_an_order_that_is_settled_waits_no_more(
    desk: Desk, drop: Drop, order: OrderSummary
) -> None:
    first = drop(seed=1).recording
    assert first is not None
    decide(desk, RecordingDecision(recording_id=first.id, kind=DecisionKind.KEEP, seen_number=0))
    assert drop(seed=2).outcome is Outcome.UNMATCHED


def test_an_order_of_another_day_does_not_wait_today(
    desk: Desk, drop: Drop, patient: Patient
) -> None:
    add_order(desk, NewOrder(patient=patient, day=date(2026, 3, 3)))
    assert drop().outcome is Outcome.UNMATCHED


def test_the_same_parcel_again_is_the_same_recording(
    desk: Desk, drop: Drop, order: OrderSummary, deeds: Deeds
) -> None:
    first = drop()
    again = drop(name="copied.csv")
    assert again.outcome is Outcome.ALREADY_HERE
    assert again.recording == first.recording
    assert again.sentence == "ecg.csv was here already, attempt 1 for Fernhollow, Ines"
    assert list_round(desk).entries[0].attempt_count == 1
    assert deeds()[-1] == ("Robin", "received again", "recording")


def test_the_same_recording_in_a_zip_is_the_same_recording(
    desk: Desk, make_parcel: MakeParcel, order: OrderSummary
) -> None:
    loose = make_parcel()
    packed = zip_of(loose)
    first = receive(desk, loose, source=Source.UPLOAD)
    for _ in range(2):
        again = receive(desk, packed, source=Source.UPLOAD)
        assert again.outcome is Outcome.ALREADY_HERE
        assert again.recording == first.recording
    assert list_round(desk).entries[0].attempt_count == 1
    assert desk.store.vault.get(packed.sha256) == packed.main.content


def test_what_cannot_be_read_is_kept_with_its_sentence(desk: Desk, deeds: Deeds) -> None:
    received = receive(desk, parcel_of("letter.txt", b"Dear doctor"), source=Source.WATCHED_FOLDER)
    assert received.outcome is Outcome.NOT_READABLE
    assert received.recording is None
    problem = received.problem
    assert problem is not None
    assert "letter.txt" in problem.sentence
    assert received.sentence == problem.sentence
    assert desk.store.vault.get(problem.files[0].sha256) == b"Dear doctor"
    assert list_round(desk).problems == (problem,)
    assert deeds() == [("Robin", "found not readable", "arrival problem")]


def test_an_unreadable_file_twice_is_one_problem(desk: Desk) -> None:
    parcel = parcel_of("letter.txt", b"Dear doctor")
    first, again = (receive(desk, parcel, source=Source.UPLOAD) for _ in range(2))
    assert again.problem is not None
    assert first.problem is not None
    assert again.problem.id == first.problem.id
    assert len(list_round(desk).problems) == 1


def test_a_problem_set_aside_comes_back_when_the_file_does(desk: Desk) -> None:
    parcel = parcel_of("letter.txt", b"Dear doctor")
    problem = receive(desk, parcel, source=Source.UPLOAD).problem
    assert problem is not None
    set_problem_aside(desk, problem.id)
    assert list_round(desk).problems == ()
    receive(desk, parcel, source=Source.UPLOAD)
    assert len(list_round(desk).problems) == 1


def test_a_hint_makes_an_unreadable_file_a_recording_and_is_remembered(
    desk: Desk, make_parcel: MakeParcel, order: OrderSummary
) -> None:
    whole = make_parcel().main
    silent = parcel_of(whole.name, whole.content.replace(b"# rate_hz: 500\n", b""))
    assert receive(desk, silent, source=Source.UPLOAD).outcome is Outcome.NOT_READABLE
    hinted = receive(desk, silent, source=Source.UPLOAD, hints=ReadHints(rate_hz=500.0))
    assert hinted.outcome is Outcome.FILED
    assert hinted.recording is not None
    assert hinted.recording.rate_hz == 500.0
    assert list_round(desk).problems == ()


def test_bytes_damaged_in_the_vault_are_put_right_by_sending_again(
    desk: Desk, make_parcel: MakeParcel
) -> None:
    parcel = make_parcel()
    receive(desk, parcel, source=Source.UPLOAD)
    path = next(desk.store.vault.folder.glob(f"??/??/{parcel.sha256}"))
    path.chmod(0o600)
    path.write_bytes(b"rotten")
    receive(desk, parcel, source=Source.UPLOAD)
    assert desk.store.vault.is_sound(parcel.sha256)


def test_no_note_of_an_arrival_is_left_behind(desk: Desk, drop: Drop) -> None:
    drop()
    drop()
    receive(desk, parcel_of("letter.txt", b"Dear doctor"), source=Source.UPLOAD)
    assert list(desk.store.begun.list_noted()) == []


def test_a_parcel_is_known_once_it_is_filed_whatever_it_was(
    desk: Desk, make_parcel: MakeParcel
) -> None:
    letter = parcel_of("letter.txt", b"Dear doctor")
    for parcel in (make_parcel(), letter):
        assert not is_known(desk, parcel.sha256)
        receive(desk, parcel, source=Source.UPLOAD)
        assert is_known(desk, parcel.sha256)


def test_the_trail_tells_who_received_and_filed_it(
    desk: Desk, drop: Drop, order: OrderSummary, deeds: Deeds
) -> None:
    drop()
    assert deeds() == [
        ("Robin", "ordered", "order"),
        ("Robin", "received", "recording"),
        ("Robin", "filed under an order", "recording"),
    ]


def test_what_another_process_files_meanwhile_is_not_filed_twice(
    desk: Desk, make_parcel: MakeParcel, order: OrderSummary, monkeypatch: pytest.MonkeyPatch
) -> None:
    parcel = make_parcel()

    def derive_while_another_files(
        arrived: Parcel, hints: ReadHints, chosen: ChosenPolicy
    ) -> Reading:
        reading = derive(arrived, hints, chosen)
        monkeypatch.setattr("couchside.service.receiving.derive", derive)
        receive(replace(desk, who="another process"), parcel, source=Source.UPLOAD)
        return reading

    monkeypatch.setattr("couchside.service.receiving.derive", derive_while_another_files)
    received = receive(desk, parcel, source=Source.UPLOAD)
    assert received.outcome is Outcome.ALREADY_HERE
    assert received.recording is not None
    assert received.recording.received_by == "another process"
    assert list_round(desk).entries[0].attempt_count == 1
