"""What the file says of itself, with what it leaves out said too."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.recording import AcquisitionSettings, Recording
from couchside.service import Desk, OpenedRecording
from couchside.web.translation import N_, translate
from couchside.web.translation import gettext as _
from couchside.web.wording import (
    SOURCE_WORDS,
    describe_patient,
    format_bytes,
    format_moment,
    format_number,
    name_of,
)

NOT_STATED = N_("not stated")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """One line: what, and its value; `is_code` for digests and names, to be set in monospace."""

    name: str
    value: str
    is_code: bool = False


def list_facts(desk: Desk, opened: OpenedRecording) -> tuple[Fact, ...]:
    """File, settings and device."""
    summary = opened.summary
    files = tuple(
        fact
        for file in summary.files
        for fact in (
            Fact(name=_("File"), value=f"{file.name}, {format_bytes(file.byte_count)}"),
            Fact(name="SHA-256", value=file.sha256, is_code=True),
        )
    )
    return (
        *files,
        Fact(name=_("Person as stated"), value=_describe_stated(opened.recording)),
        Fact(name=_("Format"), value=summary.format_name),
        Fact(name=_("Arrived"), value=_describe_arrival(desk, opened)),
        Fact(name=_("Recorded"), value=_describe_start(desk, opened.recording)),
        Fact(name=_("Recorder"), value=_describe_device(opened.recording)),
        *_list_signal_facts(opened.recording),
        Fact(name=_("Accession number"), value=summary.accession or translate(NOT_STATED)),
        Fact(name=_("Checked by"), value=f"Couchside {opened.assessment.code_version}"),
    )


def _describe_stated(recording: Recording) -> str:
    return ", ".join((name_of(recording.patient), *describe_patient(recording.patient)))


def _list_signal_facts(recording: Recording) -> tuple[Fact, ...]:
    return (
        Fact(
            name=_("Signal"),
            value=_(
                "%(leads)s leads, %(seconds)s s, %(rate)s samples a second",
                leads=len(recording.leads),
                seconds=format_number(recording.duration_s),
                rate=format_number(recording.rate_hz),
            ),
        ),
        Fact(
            name=_("Resolution"), value=_with_unit(recording.settings.resolution_uv, _("µV a step"))
        ),
        Fact(name=_("Filter"), value=describe_filter(recording.settings)),
        Fact(name=_("Placement"), value=translate(recording.placement.value)),
    )


def describe_filter(settings: AcquisitionSettings) -> str:
    """The recorder's filters, each stated or said not to be."""
    notch = settings.notch_hz
    mains = (
        _("no mains filter")
        if notch == 0
        else _("mains filter %(value)s", value=_with_unit(notch, "Hz"))
    )
    return _(
        "high-pass %(high_pass)s, low-pass %(low_pass)s, %(mains)s",
        high_pass=_with_unit(settings.high_pass_hz, "Hz"),
        low_pass=_with_unit(settings.low_pass_hz, "Hz"),
        mains=mains,
    )


def _with_unit(value: float | None, unit: str) -> str:
    return translate(NOT_STATED) if value is None else f"{format_number(value)} {unit}"


def _describe_arrival(desk: Desk, opened: OpenedRecording) -> str:
    summary = opened.summary
    moment = format_moment(summary.received_at, desk.zone)
    return f"{moment}, {translate(SOURCE_WORDS[summary.source])}, {summary.received_by}"


def _describe_start(desk: Desk, recording: Recording) -> str:
    if recording.start is None:
        return translate(NOT_STATED)
    moment = format_moment(recording.start, desk.zone)
    if recording.start.tzinfo:
        return moment
    return _("%(moment)s by the recorder’s clock, zone not stated", moment=moment)


def _describe_device(recording: Recording) -> str:
    device = recording.device
    parts = (device.manufacturer, device.model, device.serial_number, device.station_name)
    return ", ".join(part for part in parts if part) or translate(NOT_STATED)
