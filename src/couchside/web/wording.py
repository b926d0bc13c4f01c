"""Enumerations, dates and numbers in the words that the pages use."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, tzinfo
from enum import StrEnum
from typing import TypeVar

from couchside.quality.model import Verdict
from couchside.recording import Patient, Sex
from couchside.service import DecisionKind, FiledBy, PaperSize, Source, State, Urgency
from couchside.service.settings import PrintedPart
from couchside.store.words import Role
from couchside.web.translation import (
    N_,
    format_clock_time,
    format_day,
    format_decimals,
    translate,
)
from couchside.web.translation import gettext as _

Word = TypeVar("Word", bound=StrEnum)

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
    State.GONE: "gone",
}
"""A recording to decide on bears its verdict's shape; what a person decided has a line below it."""

DECISION_WORDS = {
    DecisionKind.KEEP: N_("Kept"),
    DecisionKind.KEEP_WITH_REMARK: N_("Kept with a remark"),
    DecisionKind.RECORD_AGAIN: N_("To be recorded again"),
    DecisionKind.COULD_NOT_BE_RECORDED: N_("Could not be recorded"),
    DecisionKind.GONE: N_("Gone"),
    DecisionKind.EXPECTED_AGAIN: N_("Expected again"),
}
FILED_BY_WORDS = {
    FiledBy.ACCESSION: N_("matched by accession number"),
    FiledBy.PATIENT_NUMBER: N_("matched by patient number"),
    FiledBy.HAND: N_("filed by hand"),
}
SOURCE_WORDS = {
    Source.UPLOAD: N_("uploaded"),
    Source.WATCHED_FOLDER: N_("from the watched folder"),
    Source.COMMAND_LINE: N_("from the command line"),
    Source.DEMO: N_("from the demonstration"),
}
PART_WORDS = {
    PrintedPart.THREE_BY_FOUR: N_("tracing 3 × 4 with a strip, measures, findings"),
    PrintedPart.SIX_BY_TWO: N_("tracing 6 × 2, measures, findings"),
    PrintedPart.TWELVE_BY_ONE: N_("tracing 12 × 1, measures, findings"),
    PrintedPart.EVIDENCE: N_("evidence of each finding, to scale"),
    PrintedPart.STRIP: N_("strip of lead II"),
    PrintedPart.COMPARISON: N_("comparison with the earlier recording, where there is one"),
}
PAPER_WORDS = {PaperSize.A4: N_("A4"), PaperSize.LETTER: N_("US Letter")}
ROLE_WORDS = {
    Role.RECORDER: N_("recorder"),
    Role.READER: N_("reader"),
    Role.LEAD: N_("lead"),
    Role.ADMINISTRATOR: N_("administrator"),
}
SEX_WORDS = {
    Sex.NOT_STATED: N_("not stated"),
    Sex.FEMALE: N_("female"),
    Sex.MALE: N_("male"),
    Sex.OTHER: N_("other"),
}
URGENCY_WORDS = {
    Urgency.ROUTINE: N_("routine"),
    Urgency.URGENT: N_("urgent"),
    Urgency.ASAP: N_("as soon as possible"),
    Urgency.STAT: N_("at once"),
}


def sentence_case(words: str) -> str:
    """The first letter large, the rest as it is."""
    return words[:1].upper() + words[1:]


def say(words: str) -> str:
    """A word of the core, such as a verdict or a state, translated, its first letter large."""
    return sentence_case(translate(words))


def list_words(words: Mapping[Word, str]) -> dict[Word, str]:
    """The words of a closed set, translated, for a form."""
    return {key: translate(value) for key, value in words.items()}


def join_words(*parts: str) -> str:
    """What was chosen and what was typed, as one text."""
    return "; ".join(part.strip() for part in parts if part.strip())


def join_with_and(parts: Sequence[str]) -> str:
    """``"a"``, ``"a and b"``, ``"a, b and c"``."""
    if len(parts) < 2:
        return "".join(parts)
    return _("%(first)s and %(last)s", first=", ".join(parts[:-1]), last=parts[-1])


def format_date(day: date | None) -> str:
    """A day that cannot be misread: ``"4 Mar 1957"``."""
    return format_day(day) if day else ""


def format_clock(moment: datetime | None, zone: tzinfo | None) -> str:
    """Hours and minutes on the clinic's clock; a moment without a zone is on it already."""
    if moment is None:
        return ""
    return format_clock_time(_on_the_clock(moment, zone))


def format_moment(moment: datetime | None, zone: tzinfo | None) -> str:
    """Day and time on the clinic's clock."""
    if moment is None:
        return ""
    local = _on_the_clock(moment, zone)
    return f"{format_day(local.date())}, {format_clock_time(local, 'HH:mm:ss')}"


def format_number(value: float) -> str:
    """Up to three figures, and every figure of a whole number."""
    if abs(value) >= 100 or value == int(value):
        return format_decimals(value, 0)
    return format_decimals(value, _count_decimals(f"{value:.3g}"))


def format_bytes(count: int) -> str:
    """A file's size as people say it."""
    if count < 1000:
        return _("%(count)s bytes", count=count)
    if count < 1_000_000:
        return f"{format_decimals(count / 1000, 0)} kB"
    return f"{format_decimals(count / 1e6, 1)} MB"


def describe_patient(patient: Patient) -> tuple[str, ...]:
    """What tells one person from another, each part said or said to be missing."""
    return (
        _("No. %(number)s", number=patient.identifier)
        if patient.identifier
        else _("no patient number"),
        _("born %(day)s", day=format_day(patient.birth_date))
        if patient.birth_date
        else _("no date of birth"),
        _("sex not stated") if patient.sex is Sex.NOT_STATED else translate(patient.sex.value),
    )


def name_of(patient: Patient) -> str:
    """The name, or that there is none."""
    return patient.full_name or _("No name stated")


def _count_decimals(shown: str) -> int:
    """Decimals of a number as `:g` writes it; ``1.5e-05`` has six."""
    digits, _sign, exponent = shown.partition("e-")
    return len(digits.partition(".")[2]) + int(exponent or 0)


def _on_the_clock(moment: datetime, zone: tzinfo | None) -> datetime:
    return moment if moment.tzinfo is None else moment.astimezone(zone)
