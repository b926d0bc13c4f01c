"""What the page about one recording shows of the comparison with an earlier one."""

from __future__ import annotations

from dataclasses import dataclass, replace

from couchside.serial.words import ChangeRow, LeadRow, list_change_rows, list_lead_rows, summarise
from couchside.service import Desk, OpenedRecording
from couchside.web.translation import translate
from couchside.web.wording import format_moment


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparisonView:
    """The comparison; `overlay` is the drawing's address, empty where there is nothing to draw.

    `prompts` says that the recorder should make sure whose recording this is.
    """

    earlier_address: str
    earlier_time: str
    prompts: bool
    sentences: tuple[str, ...]
    unlike: tuple[str, ...]
    overlay: str
    page: str
    changes: tuple[ChangeRow, ...]
    leads: tuple[LeadRow, ...]


def view_comparison(desk: Desk, opened: OpenedRecording) -> ComparisonView | None:
    """The comparison as the page shows it; None where the person has no earlier kept recording."""
    comparison = opened.comparison
    if comparison is None:
        return None
    address = f"/recordings/{opened.summary.id}/comparison"
    start = comparison.old.recording.start
    return ComparisonView(
        earlier_address=f"/recordings/{opened.earlier_id}",
        earlier_time=format_moment(start, desk.zone),
        prompts=comparison.same_heart.prompts,
        sentences=tuple(map(translate, summarise(comparison))),
        unlike=tuple(translate(each.sentence) for each in comparison.unlike),
        overlay=f"{address}.svg" if comparison.beats is not None else "",
        page=f"{address}.pdf",
        changes=tuple(_translate_row(row) for row in list_change_rows(comparison)),
        leads=list_lead_rows(comparison),
    )


def _translate_row(row: ChangeRow) -> ChangeRow:
    return replace(
        row, name=translate(row.name), unit=translate(row.unit), note=translate(row.note)
    )
