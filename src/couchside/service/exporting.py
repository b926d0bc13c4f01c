"""A recording as a page to scale."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from couchside.paper import Filing, Layout, Page, PrintedDecision, render
from couchside.serial.words import say_in_one_line
from couchside.service.desk import Desk
from couchside.service.opening import OpenedRecording, open_recording
from couchside.service.settings import get_settings
from couchside.service.summaries import DecisionSummary
from couchside.service.telling import TellNowEntry
from couchside.service.trail import Deed, Subject, write_trail
from couchside.store.words import DecisionKind, FiledBy

_DECISION_WORDS = {
    DecisionKind.KEEP: "kept",
    DecisionKind.KEEP_WITH_REMARK: "kept with remark",
    DecisionKind.RECORD_AGAIN: "to be recorded again",
    DecisionKind.COULD_NOT_BE_RECORDED: "could not be recorded",
}


class PageFormat(StrEnum):
    """The kinds of file that a page is written as."""

    PDF = "pdf"
    SVG = "svg"


@dataclass(frozen=True, slots=True, kw_only=True)
class ExportedPage:
    """A file to hand out."""

    content: bytes
    media_type: str
    file_name: str


def export_page(
    desk: Desk,
    recording_id: int,
    *,
    page_format: PageFormat = PageFormat.PDF,
    layout: Layout | str = Layout.THREE_BY_FOUR_AND_ONE,
) -> ExportedPage:
    """A recording's page on the department's paper.

    Raises NotFound, and InvalidInput where there is no such layout.
    """
    opened = open_recording(desk, recording_id)
    paper = get_settings(desk).paper_size
    page = render(
        opened.described,
        opened.assessment,
        layout=layout,
        paper=paper,
        filing=_describe_filing(desk, opened),
    )
    exported = _write(page, page_format, name=f"recording-{recording_id}")
    with desk.store.writing() as session:
        write_trail(
            session,
            desk,
            Deed.EXPORTED,
            subject=Subject.RECORDING,
            subject_id=recording_id,
            detail={"format": page_format.value, "layout": str(layout), "paper": paper.value},
        )
    return exported


def _describe_filing(desk: Desk, opened: OpenedRecording) -> Filing:
    """Whose recording it is by the department's own record, and what was decided."""
    attempt = next((each for each in opened.attempts if each.number == opened.attempt_number), None)
    decision = opened.decision
    return Filing(
        patient=opened.order.patient if opened.order is not None else None,
        filed_by=_describe_filer(attempt.filed_by, opened.filed_by_person) if attempt else "",
        filed_at=_at_clinic(desk, attempt.filed_at) if attempt else None,
        attempt=opened.attempt_number,
        decision=_describe_decision(desk, decision) if decision is not None else None,
        told=tuple(_describe_telling(desk, each) for each in opened.to_tell),
        comparison=say_in_one_line(opened.comparison) if opened.comparison is not None else "",
    )


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


def _write(page: Page, page_format: PageFormat, *, name: str) -> ExportedPage:
    if page_format is PageFormat.PDF:
        return ExportedPage(
            content=page.pdf(), media_type="application/pdf", file_name=f"{name}.pdf"
        )
    return ExportedPage(content=page.svg(), media_type="image/svg+xml", file_name=f"{name}.svg")
