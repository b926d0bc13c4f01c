"""What the local protocol wants told, on top of every page until somebody was told."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.service import Desk, TellNowEntry, list_to_tell
from couchside.web.translation import gettext as _
from couchside.web.translation import translate
from couchside.web.wording import describe_patient, format_clock, format_moment, name_of


@dataclass(frozen=True, slots=True, kw_only=True)
class TellingView:
    """One value to be told; `outcome` is empty while it is open."""

    id: int
    recording_id: int
    address: str
    recording_address: str
    name: str
    facts: tuple[str, ...]
    place: str
    told: str
    since: str
    outcome: str

    @property
    def is_open(self) -> bool:
        """Whether somebody is still to be told."""
        return not self.outcome


def list_open_tellings(desk: Desk) -> tuple[TellingView, ...]:
    """What is still to be told, oldest first."""
    return tuple(view_telling(desk, each) for each in list_to_tell(desk))


def view_telling(desk: Desk, entry: TellNowEntry) -> TellingView:
    """One value as the pages show it."""
    return TellingView(
        id=entry.id,
        recording_id=entry.recording_id,
        address=f"/tell-now/{entry.id}",
        recording_address=f"/recordings/{entry.recording_id}",
        name=name_of(entry.patient),
        facts=describe_patient(entry.patient),
        place=entry.place,
        told=translate(entry.told),
        since=format_clock(entry.opened_at, desk.zone),
        outcome=_describe_outcome(desk, entry),
    )


def _describe_outcome(desk: Desk, entry: TellNowEntry) -> str:
    telling = entry.telling
    if telling is None:
        return ""
    by = f"{entry.closed_by}, {format_moment(entry.closed_at, desk.zone)}"
    if telling.not_told_because:
        return _("Nobody was told: %(why)s (%(by)s)", why=telling.not_told_because, by=by)
    return _(
        "%(whom)s was told at %(time)s, %(read_back)s (%(by)s)",
        whom=telling.told_whom,
        time=format_clock(telling.told_at, desk.zone),
        read_back=_("read back") if telling.is_read_back else _("not read back"),
        by=by,
    )
