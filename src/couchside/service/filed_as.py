"""Whose a recording is by the department's own record, on whatever leaves the house."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from couchside.paper import Filing, PrintedDecision
from couchside.paper.filing import list_identity_notes
from couchside.recording import Patient, Recording
from couchside.serial.words import say_in_one_line
from couchside.service.amending import list_changes
from couchside.service.desk import Desk
from couchside.service.opening import OpenedRecording
from couchside.service.summaries import Amendment, DecisionSummary
from couchside.service.telling import TellNowEntry
from couchside.store.words import DecisionKind, FiledBy

_DECISION_WORDS = {
    DecisionKind.KEEP: "kept",
    DecisionKind.KEEP_WITH_REMARK: "kept with remark",
    DecisionKind.RECORD_AGAIN: "to be recorded again",
    DecisionKind.COULD_NOT_BE_RECORDED: "could not be recorded",
}


def hand_out(desk: Desk, opened: OpenedRecording) -> Recording:
    """The recording with what a person wrote about it, under the identity it is filed with.

    What the file states otherwise, and who filed it, becomes a remark; without an order, the
    identity stays the file's own.
    """
    recording = opened.described
    if opened.order is None:
        return recording
    notes = list_identity_notes(recording, describe_filing(desk, opened))
    return replace(
        recording,
        patient=identify(recording.patient, opened.order.patient),
        remarks=(*recording.remarks, *notes),
    )


def describe_filing(desk: Desk, opened: OpenedRecording) -> Filing:
    """Whose recording it is by the department's own record, and what was decided."""
    attempt = next((each for each in opened.attempts if each.number == opened.attempt_number), None)
    decision = opened.decision
    return Filing(
        patient=opened.order.patient if opened.order is not None else None,
        filed_by=_describe_filer(attempt.filed_by, opened.filed_by_person) if attempt else "",
        filed_at=_at_clinic(desk, attempt.filed_at) if attempt else None,
        attempt=opened.attempt_number,
        decision=_describe_decision(desk, decision) if decision is not None else None,
        amended=tuple(_describe_amendment(desk, each) for each in _list_amendments(opened)),
        told=tuple(_describe_telling(desk, each) for each in opened.to_tell),
        comparison=say_in_one_line(opened.comparison) if opened.comparison is not None else "",
    )


def identify(stated: Patient, known: Patient) -> Patient:
    """The person as known here; an age that the file states stays without a date of birth."""
    age = None if known.birth_date else stated.stated_age_years
    return replace(known, stated_age_years=age)


def _list_amendments(opened: OpenedRecording) -> tuple[Amendment, ...]:
    return opened.order.amendments if opened.order is not None else ()


def _describe_amendment(desk: Desk, amendment: Amendment) -> str:
    changes = "; ".join(
        f"{name} {old or 'not stated'} became {new or 'not stated'}"
        for name, old, new in list_changes(amendment)
    )
    when = f"{_at_clinic(desk, amendment.amended_at):%Y-%m-%d %H:%M}"
    return f"Identity amended by {amendment.who}, {when}: {changes} ({amendment.reason})"


def _describe_filer(filed_by: FiledBy, person: str) -> str:
    """A person who filed by hand; else what in the file tied it to its order."""
    return person if filed_by is FiledBy.HAND else f"{filed_by}, received by {person}"


def _describe_decision(desk: Desk, decision: DecisionSummary) -> PrintedDecision:
    return PrintedDecision(
        words=_DECISION_WORDS[decision.kind],
        who=decision.who,
        decided_at=_at_clinic(desk, decision.decided_at),
        reason=decision.reason,
        remark=decision.remark,
    )


def _describe_telling(desk: Desk, entry: TellNowEntry) -> str:
    """Who was told what, when, and whether it was read back; or that it is still open."""
    telling = entry.telling
    if telling is None:
        return f"Not yet told: {entry.told}"
    if telling.not_told_because:
        return f"Not told: {entry.told}, because {telling.not_told_because} ({entry.closed_by})"
    at = f" at {_at_clinic(desk, telling.told_at):%H:%M}" if telling.told_at else ""
    read_back = "read back" if telling.is_read_back else "not read back"
    return f"Told: {entry.told}, to {telling.told_whom}{at}, {read_back}, by {entry.closed_by}"


def _at_clinic(desk: Desk, moment: datetime) -> datetime:
    return moment.astimezone(desk.zone)
