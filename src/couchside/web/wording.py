"""Enumerations, dates and numbers in the words that the pages use."""

from __future__ import annotations

from datetime import date, datetime, tzinfo

from couchside.quality.model import Verdict
from couchside.recording import Patient, Sex
from couchside.service import DecisionKind, FiledBy, PaperSize, Source, State, Urgency

VERDICT_SHAPES = {
    Verdict.KEEP: "ring",
    Verdict.KEEP_WITH_REMARK: "note",
    Verdict.RECORD_AGAIN: "turn",
}
STATE_SHAPES = {
    State.WAITING: "dashes",
    State.KEPT: "ring",
    State.KEPT_WITH_REMARK: "note",
    State.TO_BE_REPEATED: "turn",
    State.COULD_NOT_BE_RECORDED: "barred",
}
"""A recording to decide on bears its verdict's shape; what a person decided has a line below it."""

DECISION_WORDS = {
    DecisionKind.KEEP: "Kept",
    DecisionKind.KEEP_WITH_REMARK: "Kept with a remark",
    DecisionKind.RECORD_AGAIN: "To be recorded again",
    DecisionKind.COULD_NOT_BE_RECORDED: "Could not be recorded",
}
FILED_BY_WORDS = {
    FiledBy.ACCESSION: "matched by accession number",
    FiledBy.PATIENT_NUMBER: "matched by patient number",
    FiledBy.HAND: "filed by hand",
}
SOURCE_WORDS = {
    Source.UPLOAD: "uploaded",
    Source.WATCHED_FOLDER: "from the watched folder",
    Source.COMMAND_LINE: "from the command line",
    Source.DEMO: "from the demonstration",
}
PAPER_WORDS = {PaperSize.A4: "A4", PaperSize.LETTER: "US Letter"}
SEX_WORDS = {
    Sex.NOT_STATED: "not stated",
    Sex.FEMALE: "female",
    Sex.MALE: "male",
    Sex.OTHER: "other",
}
URGENCY_WORDS = {
    Urgency.ROUTINE: "routine",
    Urgency.URGENT: "urgent",
    Urgency.ASAP: "as soon as possible",
    Urgency.STAT: "at once",
}


def sentence_case(words: str) -> str:
    """The first letter large, the rest as it is."""
    return words[:1].upper() + words[1:]


def join_words(*parts: str) -> str:
    """What was chosen and what was typed, as one text."""
    return "; ".join(part.strip() for part in parts if part.strip())


def format_date(day: date | None) -> str:
    """A day that cannot be misread: ``"4 Mar 1957"``."""
    return f"{day.day} {day:%b %Y}" if day else ""


def format_clock(moment: datetime | None, zone: tzinfo | None) -> str:
    """Hours and minutes on the clinic's clock; a moment without a zone is on it already."""
    if moment is None:
        return ""
    return f"{_on_the_clock(moment, zone):%H:%M}"


def format_moment(moment: datetime | None, zone: tzinfo | None) -> str:
    """Day and time on the clinic's clock."""
    if moment is None:
        return ""
    local = _on_the_clock(moment, zone)
    return f"{format_date(local.date())}, {local:%H:%M:%S}"


def format_number(value: float) -> str:
    """Up to three figures, and every figure of a whole number."""
    return f"{value:.0f}" if abs(value) >= 100 or value == int(value) else f"{value:.3g}"


def format_bytes(count: int) -> str:
    """A file's size as people say it."""
    if count < 1000:
        return f"{count} bytes"
    return f"{count / 1000:.0f} kB" if count < 1_000_000 else f"{count / 1e6:.1f} MB"


def describe_patient(patient: Patient) -> tuple[str, ...]:
    """What tells one person from another, each part said or said to be missing."""
    return (
        f"No. {patient.identifier}" if patient.identifier else "no patient number",
        f"born {format_date(patient.birth_date)}" if patient.birth_date else "no date of birth",
        "sex not stated" if patient.sex is Sex.NOT_STATED else patient.sex.value,
    )


def name_of(patient: Patient) -> str:
    """The name, or that there is none."""
    return patient.full_name or "No name stated"


def _on_the_clock(moment: datetime, zone: tzinfo | None) -> datetime:
    return moment if moment.tzinfo is None else moment.astimezone(zone)
