"""A page that leaves the department names the order's person and carries the decision."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO

from pypdf import PdfReader

from couchside.service.deciding import RecordingDecision, decide
from couchside.service.desk import Desk
from couchside.service.exporting import export_page
from couchside.service.matching import match
from couchside.service.opening import open_recording
from couchside.service.receiving import Received
from couchside.service.summaries import OrderSummary
from couchside.store.words import DecisionKind

Drop = Callable[..., Received]
NOBODY = dict.fromkeys(("patient_id", "family_name", "given_name", "birth_date", "sex"))


def words(desk: Desk, recording_id: int = 1) -> str:
    pages = PdfReader(BytesIO(export_page(desk, recording_id).content)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_a_file_without_identity_names_the_person_it_is_filed_under(
    desk: Desk, drop: Drop, order: OrderSummary
) -> None:
    drop(**NOBODY)
    assert "name not stated" in words(desk)
    match(desk.with_person("Kim"), recording_id=1, order_id=order.id)
    told = words(desk)
    assert "Fernhollow, Ines No. Q-7 · born 1961-05-17 (64 years) · female" in told
    assert "The file states no identity; filed under this person by Kim, 2026-03-02 08:00" in told
    assert "UTC+02:00" in told
    assert open_recording(desk, 1).filed_by_person == "Kim"


def test_a_file_of_another_person_says_so(desk: Desk, drop: Drop, order: OrderSummary) -> None:
    drop(patient_id="Q-1009", family_name="Fjordby", given_name="Nils")
    match(desk, recording_id=1, order_id=order.id)
    told = words(desk)
    assert "Fernhollow, Ines No. Q-7" in told
    assert "The file states Fjordby, Nils, Q-1009" in told


def test_a_file_that_found_its_order_needs_no_words(
    desk: Desk, drop: Drop, order: OrderSummary
) -> None:
    drop()
    told = words(desk)
    assert "Fernhollow, Ines No. Q-7" in told
    assert "IDENTITY" not in told
    assert "Not yet decided, attempt 1" in told


def test_the_decision_is_on_the_page(desk: Desk, drop: Drop, order: OrderSummary) -> None:
    drop()
    remark = " ".join(f"word{n}" for n in range(120))
    decide(
        desk.with_person("Kim"),
        RecordingDecision(
            recording_id=1,
            kind=DecisionKind.KEEP_WITH_REMARK,
            seen_number=0,
            reason="",
            remark=remark,
        ),
    )
    told = words(desk)
    assert "Kept with remark, attempt 1, by Kim, 2026-03-02 08:00 UTC+02:00" in told
    assert remark in told
    assert "page 2 of" in told


def test_a_recording_to_be_repeated_says_so(desk: Desk, drop: Drop, order: OrderSummary) -> None:
    drop()
    decide(
        desk,
        RecordingDecision(
            recording_id=1,
            kind=DecisionKind.RECORD_AGAIN,
            seen_number=0,
            reason="the arm cables were exchanged",
            remark="",
        ),
    )
    told = words(desk)
    assert "To be recorded again, attempt 1, by Robin" in told
    assert "arm cables were exchanged" in told
