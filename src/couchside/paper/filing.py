"""What the department adds to a file: whose it is, which attempt, and what a person decided."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from couchside.paper.wording import describe_moment
from couchside.recording import Patient, Recording, Sex


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedDecision:
    """What a person decided of a recording.

    Parameters
    ----------
    words : str
        What it was, such as ``"kept with remark"``.
    who : str
        Who decided.
    decided_at : datetime
        When, in the zone that the page shall show.
    reason, remark : str
        What the person wrote; empty where nothing was written.
    """

    words: str
    who: str
    decided_at: datetime
    reason: str = ""
    remark: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Filing:
    """Where a department keeps a recording.

    Parameters
    ----------
    patient : Patient or None
        The person it is filed under, whom the page then names; None where it lies under no order.
    filed_by : str
        Who or what filed it there.
    filed_at : datetime or None
        When, in the zone that the page shall show.
    attempt : int or None
        Which recording of its order it is, counted from 1.
    decision : PrintedDecision or None
        The decision that stands.
    told : tuple of str
        Who was told what the local protocol wants told, a sentence each.
    amended : tuple of str
        How the person's identity was corrected, a sentence each.
    comparison : str
        What came of comparing it with an earlier recording; empty where there was none.
    """

    patient: Patient | None = None
    filed_by: str = ""
    filed_at: datetime | None = None
    attempt: int | None = None
    decision: PrintedDecision | None = None
    told: tuple[str, ...] = ()
    amended: tuple[str, ...] = ()
    comparison: str = ""


def choose_patient(recording: Recording, filing: Filing | None) -> Patient:
    """Whom the page names: the person it is filed under, else whom the file states."""
    if filing is None or filing.patient is None:
        return recording.patient
    return filing.patient


def list_identity_notes(recording: Recording, filing: Filing | None) -> list[str]:
    """In what the file's statement of identity differs from the person it is filed under.

    And how that person's identity was corrected.
    """
    if filing is None or filing.patient is None:
        return []
    return [*_list_differences(recording, filing, filing.patient), *filing.amended]


def describe_decision(filing: Filing | None) -> list[str]:
    """What was decided, by whom and when, and what was written; a paragraph each."""
    if filing is None:
        return []
    head, decision = describe_decision_in_short(filing), filing.decision
    if decision is None:
        return [head] if head else []
    told = [
        head,
        f"by {decision.who}" if decision.who else "",
        describe_moment(decision.decided_at),
    ]
    written = (decision.reason, decision.remark)
    return [", ".join(part for part in told if part), *(text for text in written if text)]


def describe_decision_in_short(filing: Filing | None) -> str:
    """What was decided of which attempt, empty where the recording lies under no order."""
    if filing is None:
        return ""
    attempt = f"attempt {filing.attempt}" if filing.attempt is not None else ""
    if filing.decision is None:
        return f"Not yet decided, {attempt}" if attempt else ""
    words = filing.decision.words
    return ", ".join(part for part in (words[:1].upper() + words[1:], attempt) if part)


def _list_differences(recording: Recording, filing: Filing, person: Patient) -> list[str]:
    stated = recording.patient
    filed = f"filed under this person{_describe_filing(filing)}"
    if not (stated.identifier.strip() or stated.full_name or stated.birth_date):
        return [f"The file states no identity; {filed}", *_describe_limits(stated, person)]
    if not _differ(stated, person):
        return _describe_limits(stated, person)
    return [
        f"The file states {_describe_stated(stated)}; {filed}",
        *_describe_limits(stated, person),
    ]


def _describe_filing(filing: Filing) -> str:
    by = f" by {filing.filed_by}" if filing.filed_by else ""
    return by + (f", {describe_moment(filing.filed_at)}" if filing.filed_at else "")


def _differ(stated: Patient, person: Patient) -> bool:
    """Whether the file states anything that is not so of the person."""
    return any(
        (
            stated.identifier.strip() not in {"", person.identifier.strip()},
            _plain(stated.full_name) not in {"", _plain(person.full_name)},
            stated.birth_date not in {None, person.birth_date},
            stated.sex not in {Sex.NOT_STATED, person.sex},
        )
    )


def _plain(name: str) -> str:
    return " ".join(name.casefold().split())


def _describe_stated(stated: Patient) -> str:
    born = f"born {stated.birth_date.isoformat()}" if stated.birth_date else ""
    sex = "" if stated.sex is Sex.NOT_STATED else str(stated.sex)
    told = [stated.full_name, stated.identifier.strip(), born, sex]
    return ", ".join(part for part in told if part)


def _describe_limits(stated: Patient, person: Patient) -> list[str]:
    """Limits go by the sex and the birth date that the file states."""
    told = []
    if stated.sex is not person.sex:
        told.append("sex not stated" if stated.sex is Sex.NOT_STATED else f"sex {stated.sex}")
    if stated.birth_date != person.birth_date:
        born = stated.birth_date
        told.append(f"born {born.isoformat()}" if born else "birth date not stated")
    return [f"Limits go by what the file states: {', '.join(told)}"] if told else []
