"""How a strip's page is divided: lines, the leads in them, and the room that each takes."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import accumulate, pairwise

from couchside.paper.layouts import Strip, make_strip
from couchside.paper.model import Box
from couchside.paper.rows import Rows, calibration_zone_mm
from couchside.paper.sizes import PrintSettings
from couchside.paper.traces import apart_mm, extent_mm
from couchside.recording import Recording

BAND_MM = 6.0
"""Above the leads of a line, for beats and RR intervals."""

_LEAD_MM = {1: 30.0, 2: 26.0, 3: 22.0}
_LEAST_GAIN_SHARE = 1.6
"""Times the gain: room for a lead whose QRS has 1.6 mV from peak to peak."""
_LEAST_FALL_MM = 4.0
_LEAST_SHARE = 0.9
"""Of what the strip's worst moment needs: with a tenth less, traces hardly meet."""
_MOST_APART_MM = 80.0
"""Eight millivolts at the usual gain: a trace that needs more is no usual one, and takes no more
lines from a page."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StripWish:
    """What is to be drawn, checked.

    Parameters
    ----------
    leads : tuple of str
        One row each in every line.
    start_s, end_s : float
        In seconds of the whole recording.
    begins_at_s, whole_s : float
        Where in the whole recording the samples at hand begin, and how long the whole is.
    settings : PrintSettings
        Paper, speed and gain.
    """

    leads: tuple[str, ...]
    start_s: float
    end_s: float
    begins_at_s: float
    whole_s: float
    settings: PrintSettings


@dataclass(frozen=True, slots=True, kw_only=True)
class StripPlan:
    """How a page is divided.

    Parameters
    ----------
    line_count : int
        Lines on a page.
    line_mm, line_s : float
        How high a line is, and how much time it shows.
    zone_mm : float
        Room for the calibration pulse at its left.
    places_mm : tuple of float
        How far under a line's upper edge each lead's level line stands.
    """

    line_count: int
    line_mm: float
    line_s: float
    zone_mm: float
    places_mm: tuple[float, ...]


def plan_strip(recording: Recording, wish: StripWish, box: Box) -> StripPlan:
    """Divide the plot into as many lines as have the room that their leads need."""
    count, gain = len(wish.leads), wish.settings.gains.limb_mm_per_mv
    distances_mm = _list_distances(recording, wish)
    usual_mm = count * max(_LEAD_MM[count], _LEAST_GAIN_SHARE * gain)
    least_mm = BAND_MM + max(usual_mm, _LEAST_SHARE * sum(distances_mm))
    line_count = max(int(box.height_mm // least_mm), 1)
    zone_mm = calibration_zone_mm(wish.settings.speed_mm_per_s, 1)
    line_mm = box.height_mm // line_count
    return StripPlan(
        line_count=line_count,
        line_mm=line_mm,
        line_s=(box.width_mm - zone_mm) / wish.settings.speed_mm_per_s,
        zone_mm=zone_mm,
        places_mm=tuple(_share_room(distances_mm, line_mm)),
    )


def place_line(
    wish: StripWish, plan: StripPlan, start_s: float, end_s: float, line: int
) -> list[Strip]:
    """The leads of one line, in seconds of the samples at hand."""
    from_s = start_s + line * plan.line_s
    length_s = min(plan.line_s, end_s - from_s)
    return [
        _strip(lead, line * len(wish.leads) + index, from_s - wish.begins_at_s, length_s)
        for index, lead in enumerate(wish.leads)
    ]


def make_strip_rows(box: Box, wish: StripWish, plan: StripPlan, used: int) -> Rows:
    """Level lines on millimetre lines, the leads of a line under its band."""
    lead_mm = (plan.line_mm - BAND_MM) / len(wish.leads)
    return Rows(
        box=box,
        zone_mm=plan.zone_mm,
        baselines_mm=tuple(
            box.top_mm + round(line * plan.line_mm + place)
            for line in range(used)
            for place in plan.places_mm
        ),
        column_count=1,
        speed_mm_per_s=wish.settings.speed_mm_per_s,
        label_rise_mm=min(lead_mm * 0.3, 6.0),
        labels_seek_quiet=True,
    )


def _list_distances(recording: Recording, wish: StripWish) -> list[float]:
    """Room above the first level line, between neighbours, and under the last one.

    So much that no two traces meet anywhere in the strip, and at least what the calibration pulse
    takes.
    """
    gains, least_mm = wish.settings.gains, wish.settings.gains.limb_mm_per_mv + 1.0
    whole = [
        _strip(lead, 0, wish.start_s - wish.begins_at_s, wish.end_s - wish.start_s)
        for lead in wish.leads
    ]
    between = [apart_mm(recording, *pair, gains) + 1.0 for pair in pairwise(whole)]
    above_mm, _ = extent_mm(recording, whole[0], gains)
    _, below_mm = extent_mm(recording, whole[-1], gains)
    needs = [max(each, least_mm) for each in (above_mm + 1.0, *between)]
    return [min(each, _MOST_APART_MM) for each in (*needs, max(below_mm, _LEAST_FALL_MM))]


def _share_room(distances_mm: list[float], line_mm: float) -> list[float]:
    """How far under a line's upper edge each lead's level line stands.

    Each distance is what it needs; what is left over, or wanting, is shared among the leads.
    """
    count = len(distances_mm) - 1
    spare_mm = (line_mm - BAND_MM - sum(distances_mm)) / count
    shares = [0.5, *[1.0] * (count - 1)]
    steps = [need + spare_mm * share for need, share in zip(distances_mm, shares, strict=False)]
    return list(accumulate(steps, initial=BAND_MM))[1:]


def _strip(lead: str, row: int, start_s: float, length_s: float) -> Strip:
    return make_strip(
        lead,
        row=row,
        start_s=start_s,
        length_s=length_s,
    )
