"""From rows of the database to what the use cases hand out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime

from couchside.quality.model import Verdict
from couchside.recording import Device, Patient, Sex
from couchside.service.summaries import (
    Amendment,
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
        amendments=summarise_amendments(row.patient),
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


def summarise_amendments(row: PatientRow) -> tuple[Amendment, ...]:
    """How a person's identity was corrected, oldest first."""
    return tuple(
        Amendment(
            number=each.number,
            before=decode_identity(each.before),
            after=decode_identity(each.after),
            reason=each.reason,
            who=each.who,
            amended_at=each.amended_at,
        )
        for each in row.amendments
    )


def encode_identity(patient: Patient) -> dict[str, object]:
    """Who somebody is, as it is kept with a correction."""
    return {
        "identifier": patient.identifier,
        "family_name": patient.family_name,
        "given_name": patient.given_name,
        "birth_date": patient.birth_date.isoformat() if patient.birth_date else None,
        "sex": patient.sex.value,
    }


def decode_identity(kept: Mapping[str, object]) -> Patient:
    """The opposite of `encode_identity`."""
    birth = kept["birth_date"]
    return Patient(
        identifier=str(kept["identifier"]),
        family_name=str(kept["family_name"]),
        given_name=str(kept["given_name"]),
        birth_date=date.fromisoformat(str(birth)) if birth else None,
        sex=Sex(str(kept["sex"])),
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
