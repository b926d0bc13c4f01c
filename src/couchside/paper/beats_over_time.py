"""A person's representative beats side by side: a row for each lead, a column for each recording.

All stand on one grid and to one scale, the oldest at the left.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.errors import InvalidInput
from couchside.paper.calibration import make_calibration
from couchside.paper.grid import COARSE_MM, make_grid
from couchside.paper.inks import Ink
from couchside.paper.layouts import Strip, make_strip
from couchside.paper.model import Box, Drawing, Layer, Mark, Polyline, Text
from couchside.paper.page import Page
from couchside.paper.rows import Rows
from couchside.paper.sizes import Gains
from couchside.waves import RepresentativeBeat

SHOWN_LEADS = ("II", "V2", "V5")
"""One limb lead, one right and one left chest lead."""

_SPEED_MM_PER_S = 25.0
_GAIN_MM_PER_MV = 10.0
_WINDOW_S = 1.2
_BEFORE_S = 0.3
_DRAWN_S = 1.1
_AFTER_T_S = 0.1
"""At a fast rate a beat is cut so soon after T: what follows is the smeared next one."""
_ZONE_MM = 10.0
_MARGIN_MM = 1.0
_HEAD_MM = 5.0
_FOOT_MM = 5.0
_LEAST_ABOVE_MM, _LEAST_BELOW_MM = 16.0, 4.0
_MOST_MM = 45.0
_ROOM_MM = 3.0
_LABEL_SIZE_MM = 2.8
_CAPTION_SIZE_MM = 2.45

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DatedBeat:
    """One recording's representative beat, None where none was found, and what stands above it."""

    caption: str
    beat: RepresentativeBeat | None


def draw_beats_over_time(dated: Sequence[DatedBeat], *, leads: Sequence[str] = SHOWN_LEADS) -> Page:
    """Draw the beats of a few leads, recording beside recording.

    Parameters
    ----------
    dated : sequence of DatedBeat
        The oldest first; at least one.
    leads : sequence of str
        The rows. A recording that lacks one leaves its place empty, and says so.

    Returns
    -------
    Page
        25 mm/s and 10 mm/mV throughout; QRS begins at one place in all columns, and each lead's
        level before it lies on the row's level line. Without QRS boundaries the detection point
        stands there.

    Raises
    ------
    InvalidInput
        If there is no recording or no lead.
    """
    if not dated or not leads:
        raise InvalidInput("there is no recording to draw; choose a person with at least one")
    shown = [[_cut(each.beat, lead) for each in dated] for lead in leads]
    rows = _stack_rows(shown, len(dated))
    strips = tuple(
        _strip(lead, row, column) for row, lead in enumerate(leads) for column in range(len(dated))
    )
    beats = [cut for row in shown for cut in row]
    layers = (
        make_grid(rows.box),
        make_calibration(
            strips, rows, Gains(limb_mm_per_mv=_GAIN_MM_PER_MV, chest_mm_per_mv=_GAIN_MM_PER_MV)
        ),
        Layer(
            name="beats",
            marks=tuple(_line(cut, strip, rows) for cut, strip in zip(beats, strips, strict=True)),
            clip=rows.box,
        ),
        Layer(name="labels", marks=_label(dated, leads, strips, rows)),
    )
    return Page(
        drawing=Drawing(
            width_mm=rows.box.right_mm + _MARGIN_MM,
            height_mm=rows.box.bottom_mm + _FOOT_MM,
            title="Beats over time",
            description=(
                f"Representative beats of leads {', '.join(leads)} of {len(dated)} recordings, "
                "the oldest at the left, to one scale"
            ),
            layers=layers,
        )
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Cut:
    """What is drawn of one lead, times from the window's start; empty where there is nothing."""

    times_s: FloatArray
    microvolts: FloatArray


def _cut(beat: RepresentativeBeat | None, lead: str) -> _Cut:
    if beat is None or lead not in beat.leads:
        return _Cut(times_s=np.empty(0), microvolts=np.empty(0))
    samples = beat.microvolts[beat.leads.index(lead)]
    onset = beat.overall.qrs_onset
    start = float(onset) if math.isfinite(onset) else float(beat.fiducial_sample)
    times_s: FloatArray = (np.arange(samples.size) - start) / beat.rate_hz + _BEFORE_S
    t_end_s = (beat.overall.t_offset - start) / beat.rate_hz + _BEFORE_S + _AFTER_T_S
    end_s = min(_DRAWN_S, t_end_s) if math.isfinite(t_end_s) else _DRAWN_S
    inside = (times_s >= 0.0) & (times_s <= end_s) & np.isfinite(samples)
    before = samples[max(0, round(start) - round(0.02 * beat.rate_hz)) : round(start) + 1]
    known = before[np.isfinite(before)]
    level = float(np.median(known)) if known.size else 0.0
    return _Cut(times_s=times_s[inside], microvolts=samples[inside] - level)


def _strip(lead: str, row: int, column: int) -> Strip:
    return make_strip(
        lead,
        row=row,
        column=column,
        length_s=_WINDOW_S,
    )


def _stack_rows(shown: Sequence[Sequence[_Cut]], column_count: int) -> Rows:
    """Rows as high as their tallest beat needs, in whole coarse squares."""
    top = _MARGIN_MM + _HEAD_MM
    bottom, baselines = top, []
    for cuts in shown:
        scaled = [cut.microvolts * _GAIN_MM_PER_MV / 1000.0 for cut in cuts]
        rise = max((float(mm.max()) for mm in scaled if mm.size), default=0.0)
        fall = max((float(-mm.min()) for mm in scaled if mm.size), default=0.0)
        above = min(max(math.ceil(rise + _ROOM_MM), _LEAST_ABOVE_MM), _MOST_MM)
        below = min(max(math.ceil(fall + _ROOM_MM), _LEAST_BELOW_MM), _MOST_MM)
        baselines.append(bottom + above)
        bottom += math.ceil((above + below) / COARSE_MM) * COARSE_MM
    return Rows(
        box=Box(
            left_mm=_MARGIN_MM,
            top_mm=top,
            width_mm=_ZONE_MM + column_count * _WINDOW_S * _SPEED_MM_PER_S,
            height_mm=bottom - top,
        ),
        zone_mm=_ZONE_MM,
        baselines_mm=tuple(baselines),
        column_count=column_count,
        speed_mm_per_s=_SPEED_MM_PER_S,
        label_rise_mm=0.0,
    )


def _line(cut: _Cut, strip: Strip, rows: Rows) -> Mark:
    if cut.times_s.size < 2:
        return Text(
            x_mm=rows.left_mm(strip) + 3.0,
            y_mm=rows.baseline_mm(strip),
            content="no beat" if strip.row == 0 else "",
            size_mm=_CAPTION_SIZE_MM,
            ink=Ink.QUIET_TEXT,
        )
    points = np.empty((cut.times_s.size, 2))
    points[:, 0] = rows.left_mm(strip) + cut.times_s * _SPEED_MM_PER_S
    points[:, 1] = rows.baseline_mm(strip) - cut.microvolts * _GAIN_MM_PER_MV / 1000.0
    return Polyline(points_mm=points, ink=Ink.TRACE, name=strip.lead)


def _label(
    dated: Sequence[DatedBeat], leads: Sequence[str], strips: tuple[Strip, ...], rows: Rows
) -> tuple[Mark, ...]:
    """Leads at the head of their rows, dates above the columns, the scale below."""
    captions = [
        Text(
            x_mm=rows.left_mm(strip) + 1.0,
            y_mm=rows.box.top_mm - 1.5,
            content=each.caption,
            size_mm=_CAPTION_SIZE_MM,
            bold=True,
        )
        for each, strip in zip(dated, strips[: len(dated)], strict=True)
    ]
    tops = tuple(_find_top(number, rows) for number in range(len(leads)))
    names = [
        Text(
            x_mm=rows.box.left_mm + 1.0,
            y_mm=top + 3.2,
            content=lead,
            size_mm=_LABEL_SIZE_MM,
            bold=True,
        )
        for lead, top in zip(leads, tops, strict=True)
    ]
    scale = Text(
        x_mm=rows.box.left_mm,
        y_mm=rows.box.bottom_mm + 3.2,
        content=f"{_SPEED_MM_PER_S:g} mm/s, {_GAIN_MM_PER_MV:g} mm/mV in all · level before QRS",
        size_mm=_CAPTION_SIZE_MM,
        ink=Ink.QUIET_TEXT,
    )
    return (*captions, *names, scale)


def _find_top(row: int, rows: Rows) -> float:
    """Where a row's name stands: above the pulse at its head."""
    return rows.baselines_mm[row] - _GAIN_MM_PER_MV - 5.0
