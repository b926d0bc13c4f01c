"""What the page about one recording shows of the comparison with an earlier one."""

from __future__ import annotations

from dataclasses import dataclass, replace
from urllib.parse import urlencode

from couchside.serial import Comparison
from couchside.serial.words import ChangeRow, LeadRow, list_change_rows, list_lead_rows, summarise
from couchside.service import Desk, OpenedRecording
from couchside.service.patients import Pair
from couchside.web.translation import gettext as _
from couchside.web.translation import translate
from couchside.web.wording import describe_patient, format_moment, name_of


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
    if opened.comparison is None or opened.earlier_id is None:
        return None
    address = f"/recordings/{opened.summary.id}/comparison"
    return _view(desk, opened.comparison, opened.earlier_id, f"{address}.svg", f"{address}.pdf")


@dataclass(frozen=True, slots=True, kw_only=True)
class PairView:
    """Two recordings of one person."""

    name: str
    facts: tuple[str, ...]
    patient_address: str
    new_address: str
    new_time: str
    comparison: ComparisonView


def view_pair(desk: Desk, pair: Pair) -> PairView:
    """Any two recordings of a person as their page shows them."""
    number = urlencode({"number": pair.patient.identifier})
    query = f"{number}&one={pair.new_id}&other={pair.old_id}"
    drawings = (f"/patients/comparison.svg?{query}", f"/patients/comparison.pdf?{query}")
    return PairView(
        name=name_of(pair.patient),
        facts=describe_patient(pair.patient),
        patient_address=f"/patients?{number}",
        new_address=f"/recordings/{pair.new_id}",
        new_time=format_moment(pair.new.recording.start, desk.zone) or _("no stated time"),
        comparison=_view(desk, pair.comparison, pair.old_id, *drawings),
    )


def _view(
    desk: Desk, comparison: Comparison, earlier_id: int, drawing: str, page: str
) -> ComparisonView:
    start = comparison.old.recording.start
    return ComparisonView(
        earlier_address=f"/recordings/{earlier_id}",
        earlier_time=format_moment(start, desk.zone) or _("no stated time"),
        prompts=comparison.same_heart.prompts,
        sentences=tuple(map(translate, summarise(comparison))),
        unlike=tuple(translate(each.sentence) for each in comparison.unlike),
        overlay=drawing if comparison.beats is not None else "",
        page=page,
        changes=tuple(_translate_row(row) for row in list_change_rows(comparison)),
        leads=list_lead_rows(comparison),
    )


def _translate_row(row: ChangeRow) -> ChangeRow:
    return replace(
        row, name=translate(row.name), unit=translate(row.unit), note=translate(row.note)
    )
