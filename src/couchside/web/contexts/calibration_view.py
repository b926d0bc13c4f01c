"""What the page about a recording's calibration pulse shows."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.quality.calibration_pulse import LeadPulse, check_calibration
from couchside.service import Desk, OpenedRecording
from couchside.service.recorders import RecorderEntry
from couchside.web.translation import format_decimals, translate
from couchside.web.translation import gettext as _
from couchside.web.wording import format_moment


@dataclass(frozen=True, slots=True, kw_only=True)
class PulseRow:
    """One lead; `failures` is empty where its pulse passes."""

    lead: str
    height: str
    width: str
    rise: str
    failures: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CalibrationView:
    """The pulse in every lead, what it comes to, and whose it is.

    `is_pulse` says whether the recording stands as one of a pulse, `has_order` whether it lies
    under a person's order. `recorders` are number, name and whether it is the one.
    """

    recording_id: int
    word: str
    sentence: str
    device: str
    rows: tuple[PulseRow, ...]
    is_pulse: bool
    has_order: bool
    seen_number: int
    said: str
    arrived: str
    recorder_name: str
    recorder_address: str
    recorders: tuple[tuple[int, str, bool], ...]


def view_calibration(
    desk: Desk, opened: OpenedRecording, recorders: tuple[RecorderEntry, ...]
) -> CalibrationView:
    """The check of a recording's pulse as the page shows it."""
    check = check_calibration(opened.recording)
    device, pulse = opened.recording.device, opened.pulse
    named = (device.manufacturer, device.model, device.serial_number, device.station_name)
    recorder_id = pulse.recorder_id if pulse else None
    return CalibrationView(
        recording_id=opened.summary.id,
        word=_("Passes.") if check.has_passed else _("Does not pass."),
        sentence=_say_what_follows(opened, has_passed=check.has_passed),
        device=" · ".join(part for part in named if part) or _("The file names no recorder."),
        rows=tuple(_view_lead(each) for each in check.leads),
        is_pulse=opened.is_pulse,
        has_order=opened.order is not None,
        seen_number=pulse.number if pulse else 0,
        said=_say_who(desk, opened),
        arrived=format_moment(opened.summary.received_at, desk.zone),
        recorder_name=pulse.recorder_name if pulse else "",
        recorder_address=f"/recorders/{recorder_id}" if recorder_id else "",
        recorders=tuple(
            (each.id, each.facts.name, each.id == recorder_id)
            for each in recorders
            if each.retired_at is None or each.id == recorder_id
        ),
    )


def _say_what_follows(opened: OpenedRecording, *, has_passed: bool) -> str:
    if has_passed:
        return _("The pulse is right in every lead.")
    if opened.is_pulse:
        return _("Do not record with this recorder; have it seen to.")
    return _(
        "If this is the recorder's own pulse, do not record with it; have it seen to. If it is "
        "a recording of a person, hand in one of the pulse."
    )


def _say_who(desk: Desk, opened: OpenedRecording) -> str:
    """Who said what the recording is, and when."""
    pulse = opened.pulse
    if pulse is None:
        return ""
    when = format_moment(pulse.said_at, desk.zone)
    if pulse.is_by_signal:
        return _("Taken for a calibration pulse by its signal, %(time)s.", time=when)
    return (
        _("%(who)s said that it is a calibration pulse, %(time)s.", who=pulse.who, time=when)
        if pulse.is_pulse
        else _("%(who)s said that it is no calibration pulse, %(time)s.", who=pulse.who, time=when)
    )


def _view_lead(pulse: LeadPulse) -> PulseRow:
    return PulseRow(
        lead=pulse.lead,
        height="–"
        if pulse.amplitude_uv is None
        else format_decimals(pulse.amplitude_uv / 1000.0, 2),
        width="–" if pulse.width_ms is None else format_decimals(pulse.width_ms, 0),
        rise="–" if pulse.rise_ms is None else format_decimals(pulse.rise_ms, 1),
        failures="; ".join(map(translate, pulse.failures)),
    )
