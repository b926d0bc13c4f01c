"""What the page about a recording's calibration pulse shows."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.quality.calibration_pulse import LeadPulse, check_calibration
from couchside.service import OpenedRecording
from couchside.web.translation import format_decimals, translate
from couchside.web.translation import gettext as _


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
    """The pulse in every lead, and what it comes to."""

    recording_id: int
    word: str
    sentence: str
    device: str
    rows: tuple[PulseRow, ...]


def view_calibration(opened: OpenedRecording) -> CalibrationView:
    """The check of a recording's pulse as the page shows it."""
    check = check_calibration(opened.recording)
    device = opened.recording.device
    named = (device.manufacturer, device.model, device.serial_number, device.station_name)
    return CalibrationView(
        recording_id=opened.summary.id,
        word=_("Passes.") if check.has_passed else _("Does not pass."),
        sentence=_("The pulse is right in every lead.")
        if check.has_passed
        else _(
            "If this is the recorder's own pulse, do not record with it; have it seen to. If it is "
            "a recording of a person, hand in one of the pulse."
        ),
        device=" · ".join(part for part in named if part) or _("The file names no recorder."),
        rows=tuple(_view_lead(each) for each in check.leads),
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
