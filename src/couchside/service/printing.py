"""Recordings on paper, one or many, with the pages that the department prints of each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from couchside.errors import InvalidInput
from couchside.paper import Layout, Page, Pages, render, render_comparison, render_evidence
from couchside.serial import Comparison, Examined
from couchside.service.desk import Desk
from couchside.service.exporting import ExportedFile
from couchside.service.filed_as import describe_filing, hand_out, identify
from couchside.service.opening import OpenedRecording, check_is_persons, open_recording
from couchside.service.patients import Pair
from couchside.service.rounds import RoundEntry, list_round
from couchside.service.settings import PrintedPart, Settings, get_settings
from couchside.service.stripping import StripChoice, draw_strip
from couchside.service.trail import Deed, Subject, write_trail
from couchside.store.queries.trail import list_deeds_since

MOST_AT_ONCE = 100
"""A long round; more would keep everybody waiting for one file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Printing:
    """That a recording was printed."""

    who: str
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Printable:
    """A person of the round with the recording to print: the one that is kept, else the newest.

    `printed` is the last time today. What is kept and was not printed today is to be printed.
    """

    entry: RoundEntry
    recording_id: int
    printed: Printing | None

    @property
    def is_to_be_printed(self) -> bool:
        """Whether it is kept and nobody has printed it today."""
        return self.entry.kept is not None and self.printed is None


def list_printable(desk: Desk, day: date) -> tuple[Printable, ...]:
    """What of a day's round there is to print, in the round's order."""
    printed = _list_printed_today(desk)
    return tuple(
        Printable(
            entry=entry,
            recording_id=attempt.recording_id,
            printed=printed.get(attempt.recording_id),
        )
        for entry in list_round(desk, day).entries
        if (attempt := entry.kept or entry.latest) is not None
    )


def print_recordings(desk: Desk, recording_ids: Sequence[int]) -> ExportedFile:
    """One PDF with the department's pages of each recording, each noted in the audit trail.

    A part that a recording has not, such as a comparison where there is no earlier one, is left
    out. Raises NotFound, InvalidInput where none or too many are named or one is of a recorder's
    own pulse, and StoreError where bytes have changed.
    """
    wanted = tuple(dict.fromkeys(recording_ids))
    if not wanted:
        raise InvalidInput("no recording is chosen; choose at least one to print")
    if len(wanted) > MOST_AT_ONCE:
        raise InvalidInput(f"{len(wanted)} recordings at once; choose up to {MOST_AT_ONCE}")
    settings = get_settings(desk)
    drawn = {each: tuple(_draw(desk, open_recording(desk, each), settings)) for each in wanted}
    content = Pages(pages=tuple(page for parts in drawn.values() for _, page in parts)).pdf()
    for recording_id, parts in drawn.items():
        _note_printed(desk, recording_id, settings, [part.value for part, _ in parts])
    name = f"recording-{wanted[0]}" if len(wanted) == 1 else f"round-{desk.today()}"
    return ExportedFile(
        content=content, media_type="application/pdf", file_name=f"{name}-pages.pdf"
    )


def print_comparison(
    desk: Desk, recording_id: int, new: Examined, comparison: Comparison
) -> ExportedFile:
    """One page that holds a recording against an earlier one, noted as its print.

    Parameters
    ----------
    desk : Desk
        Where it is printed.
    recording_id : int
        Of the later recording, under which the print is noted.
    new, comparison
        The later recording as it is to stand on the page, and its comparison.
    """
    settings = get_settings(desk)
    content = render_comparison(new, comparison, paper=settings.paper_size).pdf()
    _note_printed(desk, recording_id, settings, [PrintedPart.COMPARISON.value])
    return ExportedFile(
        content=content,
        media_type="application/pdf",
        file_name=f"recording-{recording_id}-comparison.pdf",
    )


def print_pair(desk: Desk, pair: Pair) -> ExportedFile:
    """One page that holds two recordings of a person against each other, under who they are now."""
    recording = pair.new.recording
    named = replace(recording, patient=identify(recording.patient, pair.patient))
    return print_comparison(desk, pair.new_id, replace(pair.new, recording=named), pair.comparison)


def _draw(
    desk: Desk, opened: OpenedRecording, settings: Settings
) -> Iterator[tuple[PrintedPart, Page]]:
    check_is_persons(opened)
    for part in settings.page_set:
        for page in _draw_part(desk, opened, settings, part):
            yield part, page


def _draw_part(
    desk: Desk, opened: OpenedRecording, settings: Settings, part: PrintedPart
) -> tuple[Page, ...]:
    if part is PrintedPart.STRIP:
        return draw_strip(desk, opened, StripChoice()).pages.pages
    if part is PrintedPart.EVIDENCE:
        return _draw_evidence(desk, opened, settings)
    if part is not PrintedPart.COMPARISON:
        return (_draw_tracing(desk, opened, settings, Layout(part.value)),)
    if opened.comparison is None:
        return ()
    new = Examined(recording=hand_out(desk, opened), assessment=opened.assessment)
    return (render_comparison(new, opened.comparison, paper=settings.paper_size),)


def _draw_tracing(desk: Desk, opened: OpenedRecording, settings: Settings, layout: Layout) -> Page:
    return render(
        opened.described,
        opened.assessment,
        layout=layout,
        paper=settings.paper_size,
        filing=describe_filing(desk, opened),
    )


def _draw_evidence(desk: Desk, opened: OpenedRecording, settings: Settings) -> tuple[Page, ...]:
    drawn = render_evidence(
        opened.described,
        opened.assessment,
        paper=settings.paper_size,
        filing=describe_filing(desk, opened),
    )
    return drawn.pages if drawn is not None else ()


def _note_printed(desk: Desk, recording_id: int, settings: Settings, parts: Sequence[str]) -> None:
    with desk.store.writing() as session:
        write_trail(
            session,
            desk,
            Deed.PRINTED,
            subject=Subject.RECORDING,
            subject_id=recording_id,
            detail={"pages": list(parts), "paper": settings.paper_size.value},
        )


def _list_printed_today(desk: Desk) -> Mapping[int, Printing]:
    since, _ = desk.span_of(desk.today())
    with desk.store.reading() as session:
        rows = [
            row
            for deed in (Deed.EXPORTED, Deed.PRINTED)
            for row in list_deeds_since(
                session, Subject.RECORDING.value, what=deed.value, since=since
            )
            if _is_whole_page(row.detail)
        ]
        rows.sort(key=lambda row: row.id)
        return {int(row.subject_id): Printing(who=row.who, at=row.at) for row in rows}


def _is_whole_page(detail: Mapping[str, object]) -> bool:
    """Whether a recording's page went to the printer, and not a strip or a comparison alone."""
    pages = detail.get("pages")
    if isinstance(pages, list):
        return not set(Layout).isdisjoint(pages)
    return detail.get("format") == "pdf" and detail.get("layout") in set(Layout)
