"""What a request asks for, loaded in one place, for a visitor whom `admission` has let in.

Whatever shows a person's data is written into the audit trail here, before it is shown.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import partial
from typing import Annotated, cast

from fastapi import Depends, Request
from pydantic import AfterValidator

from couchside.errors import InvalidInput, NotFound
from couchside.quality.model import Finding
from couchside.service import (
    Desk,
    OpenedRecording,
    RoundEntry,
    Settings,
    open_order,
    open_recording,
)
from couchside.service.trail import Subject
from couchside.service.viewing import Looks
from couchside.web.admission import RENEWALS, MaybeVisitor, OwnDesk, sit_down
from couchside.web.moments import get_moment

LARGEST_ID = 2**63 - 1


def _clamp(number: int) -> int:
    return min(max(number, 0), LARGEST_ID)


RowId = Annotated[int, AfterValidator(_clamp)]
"""From an address or a form; a number that no database can hold becomes one that nothing has."""

NoteLook = Callable[[Desk, Subject, int | str], None]


async def get_desk(desk: OwnDesk, visitor: MaybeVisitor) -> Desk:
    """The desk that these pages stand on, with the visitor at it."""
    return sit_down(desk, visitor)


async def get_look(request: Request) -> NoteLook:
    """What writes down that the visitor is shown something."""
    looks = cast("Looks", request.app.state.looks)
    return partial(looks.note, is_renewal=request.scope["route"].path in RENEWALS)


DeskHere = Annotated[Desk, Depends(get_desk)]
NoteLookHere = Annotated[NoteLook, Depends(get_look)]


async def get_chosen_settings(request: Request) -> Settings:
    """The department's choices."""
    return get_moment(request).settings


def get_recording(desk: DeskHere, note_look: NoteLookHere, recording_id: int) -> OpenedRecording:
    """The recording that the address names; raises NotFound."""
    if not 0 < recording_id <= LARGEST_ID:
        raise NotFound(f"there is no recording {recording_id}; choose one from the round")
    opened = open_recording(desk, recording_id)
    note_look(desk, Subject.RECORDING, recording_id)
    return opened


def get_finding(opened: OpenedRecording, number: int) -> Finding:
    """One finding by its number from 1; raises NotFound."""
    findings = opened.assessment.findings
    if not 1 <= number <= len(findings):
        raise NotFound(f"recording {opened.summary.id} has no finding {number}")
    return findings[number - 1]


def get_entry(desk: DeskHere, note_look: NoteLookHere, order_id: int) -> RoundEntry:
    """The person whose order the address names; raises NotFound."""
    if not 0 < order_id <= LARGEST_ID:
        raise NotFound(f"there is no order {order_id}; choose a person from the round")
    entry = open_order(desk, order_id)
    note_look(desk, Subject.ORDER, order_id)
    return entry


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
