"""What is left of a round, and who closed it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from couchside.service import (
    Desk,
    OpenItem,
    OpenKind,
    RoundClosing,
    list_closings,
    list_open_items,
    list_round,
)
from couchside.web.contexts.round_view import count_states
from couchside.web.translation import format_day, format_weekday, translate
from couchside.web.wording import describe_patient, format_moment, name_of, say


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenRow:
    """One open item; `address` is where it can be answered."""

    key: str
    field: str
    name: str
    facts: tuple[str, ...]
    state: str
    detail: str
    address: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosingRow:
    """Who closed the round, and what stayed open."""

    by: str
    stayed_open: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundEndView:
    """The end of a round."""

    day: str
    heading: str
    counts: tuple[tuple[int, str], ...]
    rows: tuple[OpenRow, ...]
    closings: tuple[ClosingRow, ...]


def view_round_end(desk: Desk, day: date) -> RoundEndView:
    """What has no answer yet, and the closings so far."""
    return RoundEndView(
        day=day.isoformat(),
        heading=f"{format_weekday(day)} {format_day(day)}",
        counts=count_states(list_round(desk, day)),
        rows=tuple(_view_row(n, item) for n, item in enumerate(list_open_items(desk, day))),
        closings=tuple(_view_closing(desk, each) for each in list_closings(desk, day)),
    )


def _view_row(position: int, item: OpenItem) -> OpenRow:
    name, facts, detail = _describe(item)
    return OpenRow(
        key=item.key,
        field=f"reason-{position}",
        name=name,
        facts=facts,
        state=say(item.kind.value),
        detail=detail,
        address=_find_address(item),
    )


def _describe(item: OpenItem) -> tuple[str, tuple[str, ...], str]:
    """Whose it is, what tells them apart, and what it is."""
    if item.kind is OpenKind.NOT_READABLE:
        return item.detail, (), ""
    if item.recorder is not None:
        return item.name, (item.place,) if item.place else (), item.detail
    return name_of(item.patient), describe_patient(item.patient), translate(item.detail)


def _find_address(item: OpenItem) -> str:
    if item.kind is OpenKind.TO_TELL:
        return f"/tell-now/{item.subject_id}"
    if item.recorder is not None:
        return f"/recorders/{item.recorder.id}#faults"
    if item.recording_id is not None:
        return f"/recordings/{item.recording_id}"
    if item.kind is OpenKind.NOT_READABLE:
        return f"/round#problem-{item.subject_id}"
    return f"/orders/{item.subject_id}"


def _view_closing(desk: Desk, closing: RoundClosing) -> ClosingRow:
    return ClosingRow(
        by=f"{closing.who}, {format_moment(closing.closed_at, desk.zone)}",
        stayed_open=tuple(closing.stayed_open.items()),
    )
