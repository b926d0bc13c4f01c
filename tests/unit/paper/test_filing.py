"""The page names the person it is filed under, says what the file says, and what was decided."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone

from couchside.paper import Filing, Page, PrintedDecision, render
from couchside.paper.model import Text
from couchside.recording import Patient, Recording, Sex

MakeRecording = Callable[..., Recording]

PERSON = Patient(
    identifier="Q-7",
    family_name="Fernhollow",
    given_name="Ines",
    birth_date=date(1961, 5, 17),
    sex=Sex.FEMALE,
)
FILED_AT = datetime(2026, 3, 2, 8, 5, tzinfo=timezone(timedelta(hours=2)))
FILING = Filing(patient=PERSON, filed_by="Robin", filed_at=FILED_AT, attempt=2)
DECISION = PrintedDecision(
    words="kept with remark",
    who="Robin",
    decided_at=datetime(2026, 3, 2, 6, 20, tzinfo=UTC),
    remark="Shivering; a blanket helped.",
)


def words(page: Page, layer: str) -> str:
    return " ".join(
        mark.content
        for item in page.drawing.layers
        if item.name == layer
        for mark in item.marks
        if isinstance(mark, Text)
    )


def draw(recording: Recording, **changes: object) -> Page:
    filing = Filing(**({"patient": PERSON, "filed_by": "Robin", "filed_at": FILED_AT} | changes))  # type: ignore[arg-type]
    return render(recording, filing=filing)


def test_person_of_the_order_stands_in_the_header(make_recording: MakeRecording) -> None:
    header = words(draw(make_recording()), "header")
    for fact in ("Fernhollow, Ines", "No. Q-7", "born 1961-05-17 (63 years)", "female"):
        assert fact in header
    assert "Grzybowska" not in header


def test_another_identity_in_the_file_is_told(make_recording: MakeRecording) -> None:
    banner = words(draw(make_recording()), "banner")
    assert "IDENTITY" in banner
    assert "The file states Grzybowska, Zofia, 4711-0815, born 1956-08-02, female" in banner
    assert "filed under this person by Robin, 2026-03-02 08:05 UTC+02:00" in banner
    assert "Limits go by what the file states: born 1956-08-02" in banner


def test_a_file_without_identity_is_told(make_recording: MakeRecording) -> None:
    banner = words(draw(make_recording(patient=Patient())), "banner")
    assert (
        "The file states no identity; filed under this person by Robin, 2026-03-02 08:05" in banner
    )
    assert "Limits go by what the file states: sex not stated, birth date not stated" in banner


def test_the_same_identity_needs_no_words(make_recording: MakeRecording) -> None:
    page = draw(make_recording(patient=PERSON))
    assert words(page, "banner") == ""
    assert "Fernhollow, Ines" in words(page, "header")


def test_another_writing_of_the_same_name_needs_no_words(make_recording: MakeRecording) -> None:
    stated = Patient(
        identifier=" Q-7 ",
        family_name="FERNHOLLOW",
        given_name="ines",
        birth_date=PERSON.birth_date,
        sex=PERSON.sex,
    )
    assert words(draw(make_recording(patient=stated)), "banner") == ""


def test_without_an_order_the_file_speaks(make_recording: MakeRecording) -> None:
    page = draw(make_recording(), patient=None, filed_by="", filed_at=None)
    assert "Grzybowska, Zofia" in words(page, "header")
    assert words(page, "banner") == ""
    assert "decided" not in words(page, "report")


def test_decision_stands_with_who_when_and_remark(make_recording: MakeRecording) -> None:
    page = draw(make_recording(remarks=("Sat upright.",)), attempt=2, decision=DECISION)
    told = words(page, "report")
    assert "Kept with remark, attempt 2, by Robin, 2026-03-02 06:20 UTC" in told
    assert "Shivering; a blanket helped." in told
    assert "Sat upright." in told
    assert "Kept with remark, attempt 2" in words(page, "header")


def test_an_attempt_that_awaits_its_decision_says_so(make_recording: MakeRecording) -> None:
    assert "Not yet decided, attempt 2" in words(draw(make_recording(), attempt=2), "report")


def test_name_and_number_are_never_cut(make_recording: MakeRecording) -> None:
    number = "".join(chr(ord("A") + n % 26) for n in range(64))
    name = "".join(chr(ord("a") + n % 26) for n in range(64))
    person = Patient(identifier=number, family_name="W" + name, given_name="M" + name)
    header = words(draw(make_recording(), patient=person), "header")
    assert number in header.replace(" ", "")
    assert f"W{name},M{name}" in header.replace(" ", "")
    assert "…" not in header


def test_what_print_cannot_show_of_a_decision_is_said(make_recording: MakeRecording) -> None:
    page = draw(make_recording(), decision=replace(DECISION, remark="山田"))
    assert "stands for a character" in words(page, "footer")
