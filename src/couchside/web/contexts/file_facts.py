"""What the file says of itself, with what it leaves out said too."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.recording import AcquisitionSettings, Recording
from couchside.service import Desk, OpenedRecording
from couchside.web.wording import SOURCE_WORDS, format_bytes, format_moment, format_number

NOT_STATED = "not stated"


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
            Fact(name="File", value=f"{file.name}, {format_bytes(file.byte_count)}"),
            Fact(name="SHA-256", value=file.sha256, is_code=True),
        )
    )
    return (
        *files,
        Fact(name="Format", value=summary.format_name),
        Fact(name="Arrived", value=_describe_arrival(desk, opened)),
        Fact(name="Recorded", value=_describe_start(desk, opened.recording)),
        Fact(name="Recorder", value=_describe_device(opened.recording)),
        *_list_signal_facts(opened.recording),
        Fact(name="Accession number", value=summary.accession or NOT_STATED),
        Fact(name="Checked by", value=f"Couchside {opened.assessment.code_version}"),
    )


def _list_signal_facts(recording: Recording) -> tuple[Fact, ...]:
    return (
        Fact(
            name="Signal",
            value=f"{len(recording.leads)} leads, {format_number(recording.duration_s)} s, "
            f"{format_number(recording.rate_hz)} samples a second",
        ),
        Fact(name="Resolution", value=_with_unit(recording.settings.resolution_uv, "µV a step")),
        Fact(name="Filter", value=describe_filter(recording.settings)),
        Fact(name="Placement", value=recording.placement.value),
    )


def describe_filter(settings: AcquisitionSettings) -> str:
    """The recorder's filters, each stated or said not to be."""
    notch = settings.notch_hz
    mains = "no mains filter" if notch == 0 else f"mains filter {_with_unit(notch, 'Hz')}"
    return (
        f"high-pass {_with_unit(settings.high_pass_hz, 'Hz')}, "
        f"low-pass {_with_unit(settings.low_pass_hz, 'Hz')}, {mains}"
    )


def _with_unit(value: float | None, unit: str) -> str:
    return NOT_STATED if value is None else f"{format_number(value)} {unit}"


def _describe_arrival(desk: Desk, opened: OpenedRecording) -> str:
    summary = opened.summary
    moment = format_moment(summary.received_at, desk.zone)
    return f"{moment}, {SOURCE_WORDS[summary.source]}, {summary.received_by}"


def _describe_start(desk: Desk, recording: Recording) -> str:
    if recording.start is None:
        return NOT_STATED
    moment = format_moment(recording.start, desk.zone)
    return (
        moment if recording.start.tzinfo else f"{moment} by the recorder's clock, zone not stated"
    )


def _describe_device(recording: Recording) -> str:
    device = recording.device
    parts = (device.manufacturer, device.model, device.serial_number, device.station_name)
    return ", ".join(part for part in parts if part) or NOT_STATED
