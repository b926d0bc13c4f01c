"""What of a round there is to print."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from couchside.service import Desk, Settings
from couchside.service.printing import Printable, Printing, list_printable
from couchside.service.settings import PrintedPart
from couchside.web.contexts.round_view import view_person
from couchside.web.translation import format_day, format_weekday, translate
from couchside.web.translation import gettext as _
from couchside.web.wording import PAPER_WORDS, PART_WORDS, format_clock


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintRow:
    """One recording to choose; `printed` says who printed it today and when."""

    recording_id: int
    name: str
    facts: tuple[str, ...]
    place: str
    shape: str
    state: str
    is_decided: bool
    printed: str
    is_chosen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintView:
    """A round's recordings, and the pages that are printed of each."""

    day: str
    heading: str
    pages: tuple[str, ...]
    paper: str
    rows: tuple[PrintRow, ...]


def view_print(desk: Desk, day: date, settings: Settings) -> PrintView:
    """What is kept and not printed today is chosen beforehand."""
    return PrintView(
        day=day.isoformat(),
        heading=f"{format_weekday(day)} {format_day(day)}",
        pages=tuple(
            translate(PART_WORDS[part]) for part in PrintedPart if part in settings.page_set
        ),
        paper=translate(PAPER_WORDS[settings.paper_size]),
        rows=tuple(_view_row(desk, each) for each in list_printable(desk, day)),
    )


def _view_row(desk: Desk, printable: Printable) -> PrintRow:
    person = view_person(desk, printable.entry, {})
    return PrintRow(
        recording_id=printable.recording_id,
        name=person.name,
        facts=person.facts,
        place=person.place,
        shape=person.shape,
        state=person.state,
        is_decided=person.is_decided,
        printed=_describe_printing(desk, printable.printed),
        is_chosen=printable.is_to_be_printed,
    )


def _describe_printing(desk: Desk, printed: Printing | None) -> str:
    if printed is None:
        return _("not printed today")
    return _(
        "printed at %(time)s by %(who)s",
        time=format_clock(printed.at, desk.zone),
        who=printed.who,
    )
