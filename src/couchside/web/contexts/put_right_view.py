"""What the page about one recording shows of the preview with exchanged cables put back."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.quality.interchange import find_exchange_to_undo
from couchside.quality.interchange.words import name_arrangement
from couchside.service import OpenedRecording
from couchside.web.translation import translate


@dataclass(frozen=True, slots=True, kw_only=True)
class PutRightView:
    """The preview; `exchange` says what is undone, `drawing` and `page` are addresses."""

    exchange: str
    drawing: str
    page: str


def view_put_right(opened: OpenedRecording) -> PutRightView | None:
    """The preview as the page offers it; None where no exchange is told that can be undone."""
    arrangement = find_exchange_to_undo(opened.assessment.findings)
    if arrangement is None:
        return None
    address = f"/recordings/{opened.summary.id}/put-right"
    return PutRightView(
        exchange=translate(name_arrangement(arrangement)),
        drawing=f"{address}.svg",
        page=f"{address}.pdf",
    )
