"""A continuous strip of one to three leads to scale: lines under lines, pages after pages."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from couchside.errors import InvalidInput
from couchside.measures.clock import format_clock
from couchside.paper.beat_marks import make_beat_marks
from couchside.paper.calibration import make_calibration
from couchside.paper.footer import lay_out_footer, list_facts, make_footer
from couchside.paper.frames import Frames, divide_sheet
from couchside.paper.grid import make_grid
from couchside.paper.header import count_lines, list_notices, make_banner, make_titled_header
from couchside.paper.identity import IdentityBlock, lay_out_identity
from couchside.paper.model import Drawing, Layer
from couchside.paper.page import Page, Pages
from couchside.paper.sizes import (
    STANDARD_GAIN_MM_PER_MV,
    STANDARD_SPEED_MM_PER_S,
    Gains,
    Layout,
    LimbOrder,
    PaperSize,
    PrintSettings,
    choose,
)
from couchside.paper.strip_head import STRIP_IDENTITY_ROOM_MM, make_summary
from couchside.paper.strip_plan import (
    StripPlan,
    StripWish,
    make_strip_rows,
    place_line,
    plan_strip,
)
from couchside.paper.traces import make_traces
from couchside.paper.wording import list_deviations, short_digest
from couchside.recording import Recording
from couchside.waves.series import BeatSeries, cut_series

MOST_LEADS = 3
LONGEST_S = 3600.0
SUMMARY_MM = 12.0
_ROUNDING_S = 1e-6


def render_strip(
    recording: Recording,
    leads: Sequence[str],
    from_s: float,
    seconds: float,
    *,
    beats: BeatSeries | None = None,
    speed_mm_per_s: float = STANDARD_SPEED_MM_PER_S,
    gain_mm_per_mv: float = STANDARD_GAIN_MM_PER_MV,
    paper: PaperSize | str = PaperSize.A4,
    begins_at_s: float = 0.0,
    whole_s: float | None = None,
) -> Pages:
    """Draw a stretch of chosen leads without a gap, line under line.

    Parameters
    ----------
    recording : Recording
        The whole recording, or a stretch of a long one.
    leads : sequence of str
        One to three; they stand under one another in every line.
    from_s, seconds : float
        Where the strip begins in the whole recording, and how long it is; cut at its end.
    beats : BeatSeries or None
        Beats in seconds of the whole recording; their places and RR intervals are marked above the
        leads. None marks nothing.
    speed_mm_per_s : {25, 50}
        A line holds 10 s or 5 s.
    gain_mm_per_mv : {5, 10, 20}
        For every lead.
    paper : {"A4", "letter"}
        The sheet, landscape.
    begins_at_s, whole_s : float
        Where in the whole recording the samples at hand begin, and how long the whole is, if it is
        longer than they are.

    Returns
    -------
    Pages
        At least one; identity, settings and page number stand on every page.

    Raises
    ------
    InvalidInput
        If no lead or more than three are named, a lead is not there or stands twice, the strip
        would begin outside the recording or is longer than an hour, or a choice is unknown.
    """
    whole = recording.duration_s + begins_at_s if whole_s is None else whole_s
    here_end = min(begins_at_s + recording.duration_s, whole)
    _check_leads(recording, leads)
    _check_span(from_s, seconds, begins_at_s, here_end)
    wish = StripWish(
        leads=tuple(leads),
        start_s=from_s,
        end_s=min(from_s + seconds, here_end),
        begins_at_s=begins_at_s,
        whole_s=whole,
        settings=PrintSettings(
            layout=Layout.TWELVE_BY_ONE,
            paper=choose(PaperSize, paper, "paper size"),
            speed_mm_per_s=speed_mm_per_s,
            gains=Gains(limb_mm_per_mv=gain_mm_per_mv, chest_mm_per_mv=gain_mm_per_mv),
            limb_order=LimbOrder.STANDARD,
        ),
    )
    shown = None if beats is None else cut_series(beats, wish.start_s, wish.end_s)
    return Pages(pages=tuple(_draw_pages(recording, shown, wish)))


def _check_leads(recording: Recording, leads: Sequence[str]) -> None:
    if not 1 <= len(leads) <= MOST_LEADS:
        raise InvalidInput(f"{len(leads)} leads were named; a strip takes one to three")
    if len(set(leads)) != len(leads):
        raise InvalidInput("a lead is named twice; name each lead once")
    for lead in leads:
        recording.get_lead(lead)


def _check_span(from_s: float, seconds: float, begins_at_s: float, end_s: float) -> None:
    if not (math.isfinite(seconds) and 0 < seconds <= LONGEST_S):
        raise InvalidInput(f"a strip of {seconds:g} s is not drawn; choose up to {LONGEST_S:g} s")
    if not begins_at_s <= from_s < end_s:
        raise InvalidInput(
            f"the strip would begin at {format_clock(max(from_s, 0.0))}, and there are samples "
            f"from {format_clock(begins_at_s)} to {format_clock(end_s)}; choose a start within"
        )


def _draw_pages(recording: Recording, beats: BeatSeries | None, wish: StripWish) -> list[Page]:
    deviations = list_deviations(recording, wish.settings)
    notices = list_notices([], deviations)
    identity = lay_out_identity(recording.patient, recording.start, STRIP_IDENTITY_ROOM_MM)
    frames = divide_sheet(
        wish.settings.paper,
        banner_lines=count_lines(notices),
        details_mm=SUMMARY_MM,
        identity_mm=identity.height_mm,
    )
    plan = plan_strip(recording, wish, frames.plot)
    lasting_s = wish.end_s - wish.start_s
    sheets = _Sheets(
        recording=recording,
        beats=beats,
        wish=wish,
        identity=identity,
        written=(recording.patient.full_name, recording.patient.identifier),
        frames=frames,
        plan=plan,
        bands=(make_banner(notices, frames.banner),) if frames.banner is not None else (),
        count=max(math.ceil((lasting_s - _ROUNDING_S) / (plan.line_count * plan.line_s)), 1),
    )
    return [_draw_page(sheets, number) for number in range(sheets.count)]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Sheets:
    """What all pages of a strip share."""

    recording: Recording
    beats: BeatSeries | None
    wish: StripWish
    identity: IdentityBlock
    written: tuple[str, ...]
    frames: Frames
    plan: StripPlan
    bands: tuple[Layer, ...]
    count: int


def _draw_page(sheets: _Sheets, number: int) -> Page:
    wish, plan, frames = sheets.wish, sheets.plan, sheets.frames
    start_s = wish.start_s + number * plan.line_count * plan.line_s
    end_s = min(start_s + plan.line_count * plan.line_s, wish.end_s)
    lines = range(math.ceil((end_s - start_s - _ROUNDING_S) / plan.line_s))
    strips = tuple(each for line in lines for each in place_line(wish, plan, start_s, end_s, line))
    rows = make_strip_rows(frames.plot, wish, plan, len(lines))
    span = f"{format_clock(start_s)} to {format_clock(end_s)} of {format_clock(wish.whole_s)}"
    place = f"page {number + 1} of {sheets.count}"
    return Page(
        drawing=Drawing(
            width_mm=frames.width_mm,
            height_mm=frames.height_mm,
            title=f"ECG strip {short_digest(sheets.recording)}".strip(),
            description=f"ECG strip, leads {', '.join(wish.leads)}, {span}, {place}",
            layers=(
                make_grid(rows.box),
                make_calibration(strips, rows, wish.settings.gains),
                *make_traces(sheets.recording, strips, rows, wish.settings.gains),
                make_beat_marks(
                    sheets.beats,
                    [start_s + line * plan.line_s for line in lines],
                    end_s,
                    rows,
                    tops_mm=[rows.box.top_mm + line * plan.line_mm for line in lines],
                    line_s=plan.line_s,
                ),
                make_titled_header("Rhythm strip", place, sheets.identity, frames.identity),
                *sheets.bands,
                make_summary(sheets.beats, wish.leads, (wish.start_s, wish.end_s), frames.details),
                make_footer(
                    lay_out_footer(
                        list_facts(sheets.recording, wish.settings, f"shows {span}", sheets.written)
                    ),
                    frames.footer,
                ),
            ),
        )
    )
