"""One PDF of many recordings: the department's pages of each, and who printed what."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from io import BytesIO

import pytest
from pypdf import PdfReader

from couchside.errors import InvalidInput, NotFound
from couchside.service.deciding import RecordingDecision, decide
from couchside.service.desk import Desk
from couchside.service.exporting import export_page
from couchside.service.ordering import NewOrder, add_order
from couchside.service.printing import MOST_AT_ONCE, list_printable, print_recordings
from couchside.service.receiving import Received
from couchside.service.settings import PrintedPart, change_settings, get_settings
from couchside.service.stripping import StripChoice, export_strip
from couchside.service.summaries import OrderSummary
from couchside.service.trail import list_trail
from couchside.store.words import DecisionKind

Drop = Callable[..., Received]


@pytest.fixture
def kept(desk: Desk, drop: Drop, order: OrderSummary) -> int:
    """The kept recording of the order."""
    received = drop()
    assert received.recording is not None
    wish = RecordingDecision(
        recording_id=received.recording.id, kind=DecisionKind.KEEP, seen_number=0, reason="best"
    )
    decide(desk, wish)
    return received.recording.id


def count_pages(content: bytes) -> int:
    return len(PdfReader(BytesIO(content)).pages)


def choose(desk: Desk, *parts: PrintedPart) -> None:
    change_settings(desk, replace(get_settings(desk), page_set=parts))


def test_what_is_kept_is_printed_once_a_day(desk: Desk, kept: int, order: OrderSummary) -> None:
    (before,) = list_printable(desk, desk.today())
    assert (before.recording_id, before.is_to_be_printed) == (kept, True)
    print_recordings(desk, [kept])
    (after,) = list_printable(desk, desk.today())
    assert after.printed is not None
    assert (after.printed.who, after.is_to_be_printed) == ("Robin", False)


def test_a_strip_is_no_print_and_a_page_by_itself_is_one(desk: Desk, kept: int) -> None:
    export_strip(desk, kept, StripChoice())
    assert list_printable(desk, desk.today())[0].printed is None
    export_page(desk, kept)
    assert list_printable(desk, desk.today())[0].printed is not None


def test_what_is_not_kept_is_there_to_be_chosen(
    desk: Desk, drop: Drop, order: OrderSummary
) -> None:
    add_order(desk, NewOrder(patient=replace(order.patient, identifier="W-1")))
    assert list_printable(desk, desk.today()) == ()
    drop()
    (listed,) = list_printable(desk, desk.today())
    assert not listed.is_to_be_printed


def test_the_page_set_is_printed_of_each(desk: Desk, drop: Drop, kept: int) -> None:
    other = drop(seed=2).recording
    assert other is not None
    assert count_pages(print_recordings(desk, [kept]).content) == 1
    choose(desk, PrintedPart.SIX_BY_TWO, PrintedPart.STRIP, PrintedPart.COMPARISON)
    printed = print_recordings(desk, [kept, other.id, kept])
    strips = sum(entry.detail["pages"].count("strip") for entry in list_trail(desk, count=2))  # type: ignore[attr-defined]
    assert count_pages(printed.content) == 2 + strips
    assert printed.file_name == "round-2026-03-02-pages.pdf"


def test_each_recording_has_its_entry(desk: Desk, drop: Drop, kept: int) -> None:
    other = drop(seed=2).recording
    assert other is not None
    print_recordings(desk, [kept, other.id])
    entries = list_trail(desk, count=2)
    assert [(each.what, each.subject_id) for each in entries] == [
        ("printed", str(kept)),
        ("printed", str(other.id)),
    ]
    assert entries[0].detail == {"pages": ["3x4+1"], "paper": "A4"}


def test_the_order_of_the_pages_is_always_the_same(desk: Desk) -> None:
    choose(desk, PrintedPart.STRIP, PrintedPart.TWELVE_BY_ONE)
    assert get_settings(desk).page_set == (PrintedPart.TWELVE_BY_ONE, PrintedPart.STRIP)


def test_no_tracing_no_recording_and_too_many_are_refused(desk: Desk, kept: int) -> None:
    with pytest.raises(InvalidInput, match="no tracing is chosen"):
        choose(desk, PrintedPart.COMPARISON)
    with pytest.raises(InvalidInput, match="no recording is chosen"):
        print_recordings(desk, [])
    with pytest.raises(InvalidInput, match="101 recordings at once"):
        print_recordings(desk, range(1, MOST_AT_ONCE + 2))
    before = list_trail(desk, count=1)
    with pytest.raises(NotFound, match="there is no recording 77"):
        print_recordings(desk, [kept, 77])
    assert list_trail(desk, count=1) == before, "nothing is noted that was not printed"
