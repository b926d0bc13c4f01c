"""What the page of a strip shows."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from couchside.measures.clock import format_clock
from couchside.measures.rhythm_model import Rhythm
from couchside.service import OpenedRecording
from couchside.service.stripping import Strip
from couchside.web.translation import format_decimals, translate
from couchside.web.translation import gettext as _
from couchside.web.wording import format_number, name_of

MOST_PICTURES = 3
"""So many pages are shown on the screen; all of them are in the PDF."""

_FIELD_COUNT = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class StripView:
    """The page of one strip; `chosen` has one entry a field, empty where it is left open."""

    recording_id: int
    name: str
    leads: tuple[str, ...]
    chosen: tuple[str, ...]
    from_s: str
    seconds: str
    duration: str
    speed: float
    gain: float
    facts: tuple[tuple[str, str], ...]
    reason: str
    notes: tuple[str, ...]
    pictures: tuple[str, ...]
    page_count: int
    pdf: str


def view_strip(opened: OpenedRecording, strip: Strip) -> StripView:
    """The choice as it stands, the rhythm of the stretch, where its pictures and its PDF lie."""
    choice, rhythm = strip.choice, strip.rhythm
    patient = opened.order.patient if opened.order is not None else opened.recording.patient
    asked = [("lead", lead) for lead in strip.leads]
    asked += [("from_s", f"{choice.from_s:g}"), ("seconds", f"{strip.seconds:g}")]
    asked += [("speed", f"{choice.speed_mm_per_s:g}"), ("gain", f"{choice.gain_mm_per_mv:g}")]
    address = f"/recordings/{opened.summary.id}/strip"
    page_count = len(strip.pages.pages)
    return StripView(
        recording_id=opened.summary.id,
        name=name_of(patient),
        leads=tuple(map(str, opened.recording.leads)),
        chosen=strip.leads + ("",) * (_FIELD_COUNT - len(strip.leads)),
        from_s=f"{choice.from_s:g}",
        seconds=f"{strip.seconds:g}",
        duration=format_number(opened.recording.duration_s),
        speed=choice.speed_mm_per_s,
        gain=choice.gain_mm_per_mv,
        facts=tuple(_list_facts(rhythm)),
        reason=translate(rhythm.reason),
        notes=tuple(
            _(
                "%(words)s at %(clock)s",
                words=translate(note.words),
                clock=format_clock(note.at_s, 1),
            )
            for note in rhythm.notes
        ),
        pictures=tuple(
            f"{address}.svg?{urlencode([*asked, ('page', number + 1)])}"
            for number in range(min(page_count, MOST_PICTURES))
        ),
        page_count=page_count,
        pdf=f"{address}.pdf?{urlencode(asked)}",
    )


def _list_facts(rhythm: Rhythm) -> list[tuple[str, str]]:
    """The rhythm's figures, those that are known."""
    facts = [(_("Beats"), format_decimals(rhythm.beat_count, 0))]
    if rhythm.mean_rr_ms is not None:
        per_min = format_decimals(60_000 / rhythm.mean_rr_ms, 0)
        mean = format_decimals(rhythm.mean_rr_ms, 0)
        facts.append((_("Mean RR"), f"{mean} ms ({per_min} /min)"))
    for words, extreme in ((_("Shortest RR"), rhythm.shortest), (_("Longest RR"), rhythm.longest)):
        if extreme is not None:
            clock = format_clock(extreme.from_s, 1)
            value = f"{format_decimals(extreme.rr_ms, 0)} ms"
            facts.append((words, _("%(words)s at %(clock)s", words=value, clock=clock)))
    if rhythm.variation is not None:
        facts.append((_("Variation"), f"{format_decimals(100 * rhythm.variation, 0)} %"))
    if rhythm.rmssd_ms is not None:
        facts.append(("RMSSD", f"{format_decimals(rhythm.rmssd_ms, 0)} ms"))
    if rhythm.pause_count:
        facts.append((_("RR of 2 s or more"), format_decimals(rhythm.pause_count, 0)))
    return facts
