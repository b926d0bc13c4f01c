"""What to know of a person before recording, in lines, and the form that changes the notes."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.recording import ELECTRODES, ColourCode, Placement
from couchside.service import (
    Condition,
    Desk,
    EarlierPlacement,
    EarlierTrouble,
    PatientNotes,
    WhatToKnow,
)
from couchside.web.contexts.electrode_view import Cable, make_cable, name_place
from couchside.web.translation import gettext as _
from couchside.web.translation import translate
from couchside.web.wording import format_date, format_moment, join_with_and, say


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlierLine:
    """What an earlier recording says, and where it can be looked at."""

    words: str
    address: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KnowingView:
    """The notes that stand, the lines out of earlier recordings, and the fields of the form."""

    address: str
    seen_number: int
    lines: tuple[str, ...]
    by: str
    earlier: tuple[EarlierLine, ...]
    placements: tuple[tuple[str, str, bool], ...]
    electrodes: tuple[tuple[Cable, bool], ...]
    conditions: tuple[tuple[str, str, bool], ...]
    words: str


def view_knowing(desk: Desk, order_id: int, known: WhatToKnow, code: ColourCode) -> KnowingView:
    """What is known of the person of an order."""
    written = known.written
    notes = written.notes if written else PatientNotes()
    return KnowingView(
        address=f"/orders/{order_id}/notes",
        seen_number=written.number if written else 0,
        lines=_list_lines(notes),
        by=f"{written.who}, {format_moment(written.written_at, desk.zone)}" if written else "",
        earlier=(
            *(_view_placement(desk, each) for each in known.placements),
            *(_view_trouble(desk, each) for each in known.troubles),
        ),
        placements=tuple((str(each), say(each), each is notes.placement) for each in Placement),
        electrodes=tuple((make_cable(each, code), each in notes.electrodes) for each in ELECTRODES),
        conditions=tuple((str(each), say(each), each in notes.conditions) for each in Condition),
        words=notes.words,
    )


def _list_lines(notes: PatientNotes) -> tuple[str, ...]:
    placement = (
        ""
        if notes.placement is Placement.NOT_STATED
        else _("Placement: %(placement)s", placement=translate(notes.placement.value))
    )
    electrodes = join_with_and([name_place(each) for each in notes.electrodes])
    trouble = _("Gave trouble: %(electrodes)s", electrodes=electrodes) if electrodes else ""
    conditions = ", ".join(say(each.value) for each in notes.conditions)
    return tuple(line for line in (conditions, placement, trouble, notes.words) if line)


def _view_placement(desk: Desk, earlier: EarlierPlacement) -> EarlierLine:
    return EarlierLine(
        words=_(
            "%(day)s: recorded with %(placement)s",
            day=format_date(desk.day_of(earlier.recorded_at)),
            placement=translate(earlier.placement.value),
        ),
        address=f"/recordings/{earlier.recording_id}",
    )


def _view_trouble(desk: Desk, earlier: EarlierTrouble) -> EarlierLine:
    where = join_with_and([name_place(each) for each in earlier.electrodes])
    what = translate(earlier.finding)
    cause = f"{what}: {where}" if where else what
    return EarlierLine(
        words=_(
            "%(day)s: had to be recorded again, %(what)s",
            day=format_date(desk.day_of(earlier.recorded_at)),
            what=cause,
        ),
        address=f"/recordings/{earlier.recording_id}",
    )
