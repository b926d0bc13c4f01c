"""A strip of a recording's leads: the stretch that somebody wants, its rhythm, its pages."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.errors import InvalidInput
from couchside.measures.rhythm import measure_rhythm
from couchside.measures.rhythm_model import Rhythm
from couchside.paper import Pages, render_strip
from couchside.recording import Lead, Recording, canonical_lead_name
from couchside.service.desk import Desk
from couchside.service.exporting import ExportedFile
from couchside.service.filed_as import hand_out
from couchside.service.opening import OpenedRecording, check_is_persons, open_recording
from couchside.service.settings import get_settings
from couchside.service.trail import Deed, Subject, write_trail
from couchside.waves.series import BeatSeries, cut_series, series_of


@dataclass(frozen=True, slots=True, kw_only=True)
class StripChoice:
    """What is wanted: no lead named is lead II, else the first; no seconds are all that follow."""

    leads: tuple[str, ...] = ()
    from_s: float = 0.0
    seconds: float | None = None
    speed_mm_per_s: float = 25.0
    gain_mm_per_mv: float = 10.0


MOST_BY_ITSELF_S = 60.0
"""A longer recording is not drawn whole unless somebody asks for it."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Strip:
    """A strip, drawn, with the rhythm of its own stretch."""

    choice: StripChoice
    leads: tuple[str, ...]
    seconds: float
    rhythm: Rhythm
    pages: Pages


def draw_strip(desk: Desk, opened: OpenedRecording, choice: StripChoice) -> Strip:
    """The strip on the department's paper.

    Raises InvalidInput where a lead is not there or stands twice, more than three are named, or
    the strip would begin after the recording's end, or it is of a recorder's own pulse.
    """
    check_is_persons(opened)
    recording = hand_out(desk, opened)
    leads = _choose_leads(recording, choice.leads)
    seconds = _choose_seconds(recording, choice)
    beats = series_of(recording, opened.assessment.waves)
    pages = render_strip(
        recording,
        leads,
        choice.from_s,
        seconds,
        beats=beats,
        speed_mm_per_s=choice.speed_mm_per_s,
        gain_mm_per_mv=choice.gain_mm_per_mv,
        paper=get_settings(desk).paper_size,
    )
    rhythm = _measure(beats, choice.from_s, seconds)
    return Strip(choice=choice, leads=leads, seconds=seconds, rhythm=rhythm, pages=pages)


def export_strip(desk: Desk, recording_id: int, choice: StripChoice) -> ExportedFile:
    """The strip as PDF to scale, for the printer; raises as `draw_strip` does, and NotFound."""
    strip = draw_strip(desk, open_recording(desk, recording_id), choice)
    content = strip.pages.pdf()
    detail = {"format": "pdf", "layout": f"strip of {', '.join(strip.leads)}"}
    with desk.store.writing() as session:
        write_trail(
            session,
            desk,
            Deed.EXPORTED,
            subject=Subject.RECORDING,
            subject_id=recording_id,
            detail=detail,
        )
    return ExportedFile(
        content=content,
        media_type="application/pdf",
        file_name=f"recording-{recording_id}-strip.pdf",
    )


def _choose_leads(recording: Recording, named: tuple[str, ...]) -> tuple[str, ...]:
    if named:
        return tuple(canonical_lead_name(name) for name in named)
    return (str(Lead.II) if recording.has_lead(Lead.II) else str(recording.leads[0]),)


def _choose_seconds(recording: Recording, choice: StripChoice) -> float:
    """What is left after the start, where it is not said; the start itself is checked by paper."""
    left_s = recording.duration_s - choice.from_s
    if choice.seconds is None:
        return min(max(left_s, 1.0), MOST_BY_ITSELF_S)
    if not choice.seconds > 0:
        raise InvalidInput(f"a strip of {choice.seconds:g} s shows nothing; choose more than 0")
    return min(choice.seconds, max(left_s, 1.0))


def _measure(beats: BeatSeries, from_s: float, seconds: float) -> Rhythm:
    return measure_rhythm(cut_series(beats, from_s, from_s + seconds))
