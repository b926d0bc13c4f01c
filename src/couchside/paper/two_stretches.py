"""The same leads of two recordings, one above the other, to scale."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from couchside.errors import InvalidInput
from couchside.paper.calibration import make_calibration
from couchside.paper.excerpt import AXIS_MM, MARGIN_MM, stack_rows
from couchside.paper.grid import make_grid
from couchside.paper.inks import Ink
from couchside.paper.layouts import Strip, make_strip
from couchside.paper.model import Anchor, Drawing, Layer, Text
from couchside.paper.page import Page
from couchside.paper.rows import Rows
from couchside.paper.sizes import STANDARD_GAIN_MM_PER_MV, STANDARD_SPEED_MM_PER_S, Gains
from couchside.paper.traces import NOTE_SIZE_MM, make_traces
from couchside.recording import Recording

LONGEST_S = 10.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stretch:
    """A stretch of one recording.

    Parameters
    ----------
    recording : Recording
        Drawn as recorded.
    name : str
        What the rows are labelled with before the lead, such as ``"1"``.
    start_s : float
        Where it begins, in seconds of the recording.
    """

    recording: Recording
    name: str
    start_s: float


def draw_two_stretches(
    upper: Stretch, lower: Stretch, leads: Sequence[str], *, length_s: float
) -> Page:
    """Draw leads of two recordings in pairs of rows at one scale, 25 mm/s and 10 mm/mV.

    Parameters
    ----------
    upper, lower : Stretch
        The two recordings; they may differ in rate.
    leads : sequence of str
        Each gives two rows, the upper recording's above.
    length_s : float
        How much of each is shown, at most 10 s.

    Returns
    -------
    Page
        Each stretch begins on a fifth of a second, so that the coarse grid is the same for both.
        Where a recording ends earlier its row stays empty.

    Raises
    ------
    InvalidInput
        If no lead is given, one is missing in either recording, or the length is not within 10 s.
    """
    if not leads:
        raise InvalidInput("no lead is named to be drawn; name at least one")
    if not 0.0 < length_s <= LONGEST_S:
        raise InvalidInput(
            f"a stretch of {length_s:g} s is not drawn; choose up to {LONGEST_S:g} s"
        )
    both = tuple(_pick(each, leads) for each in (upper, lower))
    strips = [
        (each.recording, _make_strip(each, at, 2 * at + below, length_s))
        for at in range(len(leads))
        for below, each in enumerate(both)
    ]
    gain = STANDARD_GAIN_MM_PER_MV
    gains = Gains(limb_mm_per_mv=gain, chest_mm_per_mv=gain)
    rows = stack_rows(strips, gains, STANDARD_SPEED_MM_PER_S)
    traces = [
        layer
        for each in both
        for layer in make_traces(
            each.recording,
            tuple(strip for recording, strip in strips if recording is each.recording),
            rows,
            gains,
        )
    ]
    told = " · ".join(_describe(each, length_s) for each in both)
    return Page(
        drawing=Drawing(
            width_mm=rows.box.right_mm + MARGIN_MM,
            height_mm=rows.box.bottom_mm + AXIS_MM,
            title="Two stretches of ECG",
            description=f"Leads {', '.join(leads)} of two recordings, one above the other: {told}",
            layers=(
                make_grid(rows.box),
                make_calibration(tuple(strip for _, strip in strips), rows, gains),
                *traces,
                _write_axis(rows, told, gain),
            ),
        )
    )


def _pick(stretch: Stretch, leads: Sequence[str]) -> Stretch:
    """The stretch with its leads alone, labelled with its name."""
    recording = stretch.recording
    rows = [recording.get_lead(lead) for lead in leads]
    return Stretch(
        recording=Recording(
            leads=tuple(f"{stretch.name}: {lead}" for lead in leads),
            microvolts=np.array(rows),
            rate_hz=recording.rate_hz,
        ),
        name=stretch.name,
        start_s=math.floor(stretch.start_s * 5 + 1e-6) / 5,
    )


def _make_strip(stretch: Stretch, lead: int, row: int, length_s: float) -> Strip:
    name = stretch.recording.leads[lead]
    return make_strip(
        name,
        row=row,
        start_s=stretch.start_s,
        length_s=length_s,
    )


def _describe(stretch: Stretch, length_s: float) -> str:
    end_s = min(stretch.start_s + length_s, stretch.recording.duration_s)
    return f"{stretch.name}: {stretch.start_s:.1f}–{end_s:.1f} s"


def _write_axis(rows: Rows, told: str, gain_mm_per_mv: float) -> Layer:
    """Under the rows: which seconds they show, and the scale."""
    scale = f"{rows.speed_mm_per_s:g} mm/s, {gain_mm_per_mv:g} mm/mV"
    ends = ((rows.box.left_mm, told, Anchor.START), (rows.box.right_mm, scale, Anchor.END))
    return Layer(
        name="axis",
        marks=tuple(
            Text(
                x_mm=x_mm,
                y_mm=rows.box.bottom_mm + 3.1,
                content=words,
                size_mm=NOTE_SIZE_MM,
                ink=Ink.QUIET_TEXT,
                anchor=anchor,
            )
            for x_mm, words, anchor in ends
        ),
    )
