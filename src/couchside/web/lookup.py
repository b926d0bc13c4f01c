"""What a request asks for, loaded in one place: here a right to see it would be checked."""

from __future__ import annotations

from datetime import date
from typing import Annotated, cast

from fastapi import Depends, Request

from couchside.errors import InvalidInput, NotFound
from couchside.quality.model import Finding
from couchside.service import (
    Desk,
    OpenedRecording,
    RoundEntry,
    Settings,
    get_settings,
    open_order,
    open_recording,
)
from couchside.web.headlines import Headlines

LARGEST_ID = 2**63 - 1


def get_desk(request: Request) -> Desk:
    """The desk that these pages stand on."""
    return cast("Desk", request.app.state.desk)


def get_headlines(request: Request) -> Headlines:
    """The headlines told so far."""
    return cast("Headlines", request.app.state.headlines)


DeskHere = Annotated[Desk, Depends(get_desk)]
HeadlinesHere = Annotated[Headlines, Depends(get_headlines)]


def get_chosen_settings(desk: DeskHere) -> Settings:
    """The department's choices."""
    return get_settings(desk)


def get_recording(desk: DeskHere, recording_id: int) -> OpenedRecording:
    """The recording that the address names; raises NotFound."""
    if not 0 < recording_id <= LARGEST_ID:
        raise NotFound(f"there is no recording {recording_id}; choose one from the round")
    return open_recording(desk, recording_id)


def get_finding(opened: OpenedRecording, number: int) -> Finding:
    """One finding by its number from 1; raises NotFound."""
    findings = opened.assessment.findings
    if not 1 <= number <= len(findings):
        raise NotFound(f"recording {opened.summary.id} has no finding {number}")
    return findings[number - 1]


def get_entry(desk: DeskHere, order_id: int) -> RoundEntry:
    """The person whose order the address names; raises NotFound."""
    if not 0 < order_id <= LARGEST_ID:
        raise NotFound(f"there is no order {order_id}; choose a person from the round")
    return open_order(desk, order_id)


def parse_day(text: str) -> date | None:
    """A day from an address or a form, None where it is left empty."""
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise InvalidInput(f"{text!r} is not a date; write it like 2026-03-04") from error


SettingsHere = Annotated[Settings, Depends(get_chosen_settings)]
RecordingHere = Annotated[OpenedRecording, Depends(get_recording)]
EntryHere = Annotated[RoundEntry, Depends(get_entry)]
