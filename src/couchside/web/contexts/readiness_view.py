"""What pages say of recorders: fit for the next patient, not checked, with a fault, out of use."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.service import Desk
from couchside.service.clocks import ClockReading, ClockState
from couchside.service.readiness import PulseArrival, Readiness, ReadinessState
from couchside.service.readiness_checks import ElectrodeLot
from couchside.service.recorders import RecorderEntry, Suggestion
from couchside.web.translation import gettext as _
from couchside.web.translation import ngettext, translate
from couchside.web.wording import format_clock, format_date, format_moment, say

STATE_SHAPES = {
    ReadinessState.CHECKED: "ring",
    ReadinessState.NOT_CHECKED: "dashes",
    ReadinessState.FAULT: "note",
    ReadinessState.PULSE: "turn",
    ReadinessState.OUT_OF_USE: "barred",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadinessRow:
    """One recorder; `details` are by whom it was checked, or which faults are open.

    `warnings` are what somebody should see to beside that, `brief` is all of it in one line without
    who checked. `is_fit` says that there is nothing to see to.
    """

    id: int
    address: str
    name: str
    place: str
    shape: str
    state: str
    details: tuple[str, ...]
    warnings: tuple[str, ...]
    brief: str
    is_fit: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PulseLine:
    """A recording of a pulse, and what it comes to."""

    address: str
    when: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SuggestionRow:
    """A recorder that files name; the facts are put into the form that registers it."""

    name: str
    place: str
    manufacturer: str
    model: str
    serial_number: str
    station_name: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordersLine:
    """What the round says of recorders: those to be seen to, and how many are fit."""

    rows: tuple[ReadinessRow, ...]
    fit: str


def view_readiness(desk: Desk, readiness: Readiness) -> ReadinessRow:
    """One recorder as of now."""
    warnings = tuple(_list_warnings(readiness))
    details, state = tuple(_list_details(desk, readiness)), say(readiness.state.value)
    return ReadinessRow(
        id=readiness.recorder.id,
        address=f"/recorders/{readiness.recorder.id}",
        name=readiness.recorder.facts.name,
        place=readiness.recorder.facts.place,
        shape=STATE_SHAPES[readiness.state],
        state=state,
        details=details,
        warnings=warnings,
        brief=" · ".join((state, *(details if readiness.faults else ()), *warnings)),
        is_fit=readiness.state is ReadinessState.CHECKED and not warnings,
    )


def view_recorders_line(rows: tuple[ReadinessRow, ...]) -> RecordersLine | None:
    """The line on the round; None where no recorder is registered."""
    if not rows:
        return None
    count = sum(1 for each in rows if each.is_fit)
    return RecordersLine(
        rows=tuple(each for each in rows if not each.is_fit),
        fit=ngettext("%(num)s recorder checked today", "%(num)s recorders checked today", count)
        if count
        else "",
    )


def view_pulse(desk: Desk, arrival: PulseArrival) -> PulseLine:
    """A pulse in one line."""
    return PulseLine(
        address=f"/recordings/{arrival.recording_id}/calibration",
        when=format_moment(arrival.received_at, desk.zone),
        words=_("passes") if arrival.pulse.has_passed else _("does not pass"),
    )


def view_suggestion(suggestion: Suggestion) -> SuggestionRow:
    """A recorder that nobody has registered."""
    facts = suggestion.facts
    stated = (facts.manufacturer, facts.model, facts.serial_number, facts.station_name)
    count = suggestion.count
    counted = ngettext("%(num)s recording", "%(num)s recordings", count)
    return SuggestionRow(
        name=facts.name,
        place=facts.place,
        manufacturer=facts.manufacturer,
        model=facts.model,
        serial_number=facts.serial_number,
        station_name=facts.station_name,
        words=" · ".join((*(each for each in stated if each), counted)),
    )


def describe_recorder(recorder: RecorderEntry) -> tuple[str, ...]:
    """What is known of a machine, in parts."""
    facts = recorder.facts
    serial = (
        _("serial number %(number)s", number=facts.serial_number) if facts.serial_number else ""
    )
    station = _("station %(name)s", name=facts.station_name) if facts.station_name else ""
    is_in_model = facts.model.startswith(facts.manufacturer)
    make = facts.model if is_in_model else f"{facts.manufacturer} {facts.model}".strip()
    return tuple(part for part in (facts.place, make, serial, station) if part)


def say_clock(clock: ClockReading) -> str:
    """What arrivals say of a clock, in words with figures."""
    if clock.offset_s is None or clock.least_s is None or clock.most_s is None:
        return _("Clock: too few arrivals of late to say anything of it.")
    offset = format_span(abs(clock.offset_s))
    quickest = _say_quickest(clock, format_span(clock.least_s), format_span(clock.most_s))
    if clock.state is ClockState.NOT_STEADY:
        return _("Clock: nothing can be said of it; %(quickest)s.", quickest=quickest)
    if clock.state is ClockState.AGREES:
        return _(
            "Clock: agrees with arrivals; the quickest of %(count)s files came %(least)s after its "
            "end.",
            count=clock.count,
            least=format_span(clock.least_s),
        )
    if clock.state is ClockState.AHEAD:
        said = _("Clock: %(offset)s ahead; %(quickest)s.", offset=offset, quickest=quickest)
    else:
        said = _(
            "Clock: %(offset)s behind, or its files always come that late; %(quickest)s.",
            offset=offset,
            quickest=quickest,
        )
    hours = _("Whole hours: look for summer time.") if clock.is_by_hours else ""
    return " ".join(part for part in (said, hours) if part)


def _say_quickest(clock: ClockReading, least: str, most: str) -> str:
    if least == most:
        return _(
            "the quickest of %(count)s files came %(least)s after their end",
            count=clock.count,
            least=least,
        )
    return _(
        "the quickest of %(count)s files came %(least)s to %(most)s after their end",
        count=clock.count,
        least=least,
        most=most,
    )


def warn_of_clock(clock: ClockReading) -> str:
    """The same in few words; empty where nobody needs to look at the clock."""
    if not clock.is_wrong or clock.offset_s is None:
        return ""
    offset = format_span(abs(clock.offset_s))
    if clock.state is ClockState.AHEAD:
        return _("clock %(offset)s ahead", offset=offset)
    return _("clock %(offset)s behind", offset=offset)


def say_lot(lot: ElectrodeLot) -> str:
    """A lot with its date."""
    return _("lot %(lot)s, good until %(day)s", lot=lot.lot, day=format_date(lot.expires_on))


def format_span(seconds: float) -> str:
    """A length of time as people say it; below 0 it is before."""
    sign = "−" if seconds < 0 else ""
    whole = round(abs(seconds))
    if whole < 90:
        return _("%(sign)s%(seconds)s s", sign=sign, seconds=whole)
    minutes = round(whole / 60)
    if minutes < 90:
        return _("%(sign)s%(minutes)s min", sign=sign, minutes=minutes)
    return _(
        "%(sign)s%(hours)s h %(minutes)s min", sign=sign, hours=minutes // 60, minutes=minutes % 60
    )


def _list_details(desk: Desk, readiness: Readiness) -> list[str]:
    if readiness.faults:
        return [
            _(
                "%(fault)s (since %(day)s)",
                fault=each.words,
                day=format_date(desk.day_of(each.opened_at)),
            )
            for each in readiness.faults
        ]
    check = readiness.start or readiness.end
    if check is None:
        return []
    when = format_clock(check.checked_at, desk.zone)
    part = translate(check.part.value)
    return [_("%(part)s, %(time)s, %(who)s", part=part, time=when, who=check.who)]


def _list_warnings(readiness: Readiness) -> list[str]:
    is_pulse_told = readiness.state is ReadinessState.PULSE
    fails = readiness.pulse is not None and not readiness.pulse.pulse.has_passed
    said = [
        _("its pulse does not pass") if fails and not is_pulse_told else "",
        warn_of_clock(readiness.clock),
        *(_("electrodes expired: %(lot)s", lot=each.lot) for each in readiness.expired),
        *(
            _(
                "electrodes of lot %(lot)s expire on %(day)s",
                lot=each.lot,
                day=format_date(each.expires_on),
            )
            for each in readiness.expiring
        ),
    ]
    return [each for each in said if each]
