"""Reads the stretch that is wanted, finds its beats, and draws it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from couchside.cli.exits import ExitCode
from couchside.cli.output_files import check_target, write_whole
from couchside.cli.plain_words import complain, printable
from couchside.errors import CouchsideError, InvalidInput
from couchside.formats import LongRecord, ReadHints, open_long_record, read_span
from couchside.measures.clock import format_clock
from couchside.paper import Pages, render_strip
from couchside.recording import Lead, Recording, canonical_lead_name
from couchside.waves.long import find_beats_in_spans

AROUND_S = 10.0
"""Read before and behind the strip, so that beats at its ends are found like all others."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StripWish:
    """How the strip shall be."""

    hints: ReadHints
    pdf: Path
    leads: tuple[str, ...]
    from_s: float
    seconds: float
    speed_mm_per_s: float
    gain_mm_per_mv: float
    paper: str


def run_strip(path: Path, wish: StripWish) -> ExitCode:
    """Draw one strip into one PDF."""
    check_target(wish.pdf, suffixes=(".pdf",))
    try:
        record = open_long_record(path, wish.hints)
    except CouchsideError as error:
        complain(str(error))
        return ExitCode.UNREADABLE
    write_whole(wish.pdf, _draw(record, wish).pdf())
    end_s = min(wish.from_s + wish.seconds, record.duration_s)
    span = f"{format_clock(wish.from_s)} to {format_clock(end_s)} of {record.path.name}"
    print(printable(f"Drawn to {wish.pdf}: {span}."))  # noqa: T201 - the command's answer
    return ExitCode.DONE


def _draw(record: LongRecord, wish: StripWish) -> Pages:
    if not wish.from_s < record.duration_s:
        raise InvalidInput(
            f"the strip would begin at {wish.from_s:g} s, and {record.path.name} lasts "
            f"{record.duration_s:g} s; choose an earlier start"
        )
    span = read_span(record, wish.from_s - AROUND_S, wish.seconds + 2 * AROUND_S)
    return render_strip(
        span.recording,
        _choose_leads(span.recording, wish.leads),
        wish.from_s,
        wish.seconds,
        beats=find_beats_in_spans([span]),
        speed_mm_per_s=wish.speed_mm_per_s,
        gain_mm_per_mv=wish.gain_mm_per_mv,
        paper=wish.paper,
        begins_at_s=span.start_s,
        whole_s=record.duration_s,
    )


def _choose_leads(recording: Recording, named: tuple[str, ...]) -> tuple[str, ...]:
    if named:
        return tuple(canonical_lead_name(name) for name in named)
    return (str(Lead.II) if recording.has_lead(Lead.II) else recording.leads[0],)
