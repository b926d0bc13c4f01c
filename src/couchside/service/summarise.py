"""From rows of the database to what the use cases hand out."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from couchside.quality.model import Verdict
from couchside.recording import Device, Patient
from couchside.service.summaries import (
    ArrivalProblem,
    AttemptSummary,
    DecisionSummary,
    FileSummary,
    OrderSummary,
    RecordingSummary,
)
from couchside.store.tables import (
    ArrivalProblemRow,
    AttemptRow,
    DecisionRow,
    OrderRow,
    ParcelRow,
    PatientRow,
    RecordingRow,
)


def summarise_order(row: OrderRow) -> OrderSummary:
    """An order with its patient."""
    return OrderSummary(
        id=row.id,
        patient=summarise_patient(row.patient),
        day=row.day,
        accession=row.accession or "",
        place=row.place,
        urgency=row.urgency,
        due_at=row.due_at,
        reason=row.reason,
        status=row.status,
    )


def summarise_patient(row: PatientRow) -> Patient:
    """A person as the department knows them."""
    return Patient(
        identifier=row.identifier,
        family_name=row.family_name,
        given_name=row.given_name,
        birth_date=row.birth_date,
        sex=row.sex,
    )


def summarise_recording(
    row: RecordingRow, verdict: Verdict, decisions: Sequence[DecisionRow]
) -> RecordingSummary:
    """A recording without its samples."""
    return RecordingSummary(
        id=row.id,
        sha256=row.parcel.sha256,
        files=_summarise_files(row.parcel),
        format_name=row.format_name,
        leads=tuple(row.leads),
        rate_hz=row.rate_hz,
        duration_s=row.sample_count / row.rate_hz,
        start=_read_start(row),
        patient=summarise_stated_patient(row),
        device=_stated_device(row),
        accession=row.accession,
        received_at=row.parcel.received_at,
        received_by=row.parcel.received_by,
        source=row.parcel.source,
        verdict=verdict,
        decision=summarise_decision(decisions[-1]) if decisions else None,
        note=row.unmatched_because,
    )


def summarise_attempt(
    row: AttemptRow, verdict: Verdict, decisions: Sequence[DecisionRow]
) -> AttemptSummary:
    """A link of a chain."""
    return AttemptSummary(
        number=row.number,
        recording_id=row.recording_id,
        filed_by=row.filed_by,
        filed_at=row.filed_at,
        received_at=row.recording.parcel.received_at,
        start=_read_start(row.recording),
        verdict=verdict,
        decision=summarise_decision(decisions[-1]) if decisions else None,
    )


def summarise_decision(row: DecisionRow) -> DecisionSummary:
    """A decision with the verdict that was on the screen."""
    return DecisionSummary(
        number=row.number,
        kind=row.kind,
        reason=row.reason,
        remark=row.remark,
        who=row.who,
        decided_at=row.decided_at,
        verdict_shown=row.assessment.verdict if row.assessment else None,
    )


def summarise_problem(row: ArrivalProblemRow) -> ArrivalProblem:
    """Why bytes could not be read."""
    return ArrivalProblem(
        id=row.id,
        sha256=row.parcel.sha256,
        files=_summarise_files(row.parcel),
        sentence=row.sentence,
        received_at=row.parcel.received_at,
        source=row.parcel.source,
    )


def _summarise_files(parcel: ParcelRow) -> tuple[FileSummary, ...]:
    return tuple(
        FileSummary(name=file.name, sha256=file.sha256, byte_count=file.byte_count)
        for file in parcel.files
    )


def _read_start(row: RecordingRow) -> datetime | None:
    return datetime.fromisoformat(row.start_as_stated) if row.start_as_stated else None


def summarise_stated_patient(row: RecordingRow) -> Patient:
    """Whom a file names."""
    return Patient(
        identifier=row.patient_identifier,
        family_name=row.family_name,
        given_name=row.given_name,
        birth_date=row.birth_date,
        stated_age_years=row.age_years,
        sex=row.sex,
    )


def _stated_device(row: RecordingRow) -> Device:
    return Device(
        manufacturer=row.manufacturer,
        model=row.model,
        serial_number=row.serial_number,
        software_version=row.software_version,
        station_name=row.station_name,
    )
