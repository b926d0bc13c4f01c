"""From a recording to a page."""

from __future__ import annotations

from couchside.errors import InvalidInput
from couchside.paper.calibration import count_lanes, make_calibration
from couchside.paper.footer import make_footer
from couchside.paper.frames import CONTENT_WIDTH_MM, divide_sheet
from couchside.paper.grid import make_grid
from couchside.paper.header import make_banner, make_header
from couchside.paper.layouts import Arrangement, arrange
from couchside.paper.model import Box, Drawing
from couchside.paper.page import Page
from couchside.paper.report import make_report
from couchside.paper.rows import Rows, calibration_zone_mm, place_baselines
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
from couchside.paper.tell_now_band import list_tell_now_lines, make_tell_now_band
from couchside.paper.traces import extent_mm, make_traces
from couchside.paper.wording import describe_shown, list_deviations, short_digest
from couchside.quality.model import Assessment
from couchside.recording import Recording

_LABEL_RISE_SHARE = 0.36
_LABEL_RISE_MAX_MM = 11.0


def render(
    recording: Recording,
    assessment: Assessment | None = None,
    *,
    layout: Layout | str = Layout.THREE_BY_FOUR_AND_ONE,
    paper: PaperSize | str = PaperSize.A4,
    speed_mm_per_s: float = STANDARD_SPEED_MM_PER_S,
    gain_mm_per_mv: float = STANDARD_GAIN_MM_PER_MV,
    chest_gain_mm_per_mv: float | None = None,
    limb_order: LimbOrder | str = LimbOrder.STANDARD,
    start_s: float = 0.0,
) -> Page:
    """Draw a recording to scale on one landscape page.

    Parameters
    ----------
    recording : Recording
        1 to 18 leads of any length; the page shows what fits from `start_s` on and says so.
    assessment : Assessment or None
        What the check said; without it the page says "not checked" in its places.
    layout : {"3x4+1", "3x4+3", "6x2", "12x1"}
        How the leads stand on the page.
    paper : {"A4", "letter"}
        The sheet.
    speed_mm_per_s : {25, 50}
        One row holds 250 mm: 10 s or 5 s (4.8 s at 50 mm/s where two calibration pulses stand
        side by side).
    gain_mm_per_mv : {5, 10, 20}
        For all leads, or for all but the chest leads.
    chest_gain_mm_per_mv : {5, 10, 20} or None
        For the chest leads; None is the same as for the others.
    limb_order : {"standard", "Cabrera"}
        In Cabrera order aVR is drawn inverted and labelled −aVR.
    start_s : float
        Second of the recording at which the page begins.

    Returns
    -------
    Page
        With `pdf()` and `svg()`, which give bytes.

    Raises
    ------
    InvalidInput
        If a choice is unknown, or the page would begin outside the recording.
    """
    chest_gain = gain_mm_per_mv if chest_gain_mm_per_mv is None else chest_gain_mm_per_mv
    settings = PrintSettings(
        layout=choose(Layout, layout, "layout"),
        paper=choose(PaperSize, paper, "paper size"),
        speed_mm_per_s=speed_mm_per_s,
        gains=Gains(limb_mm_per_mv=gain_mm_per_mv, chest_mm_per_mv=chest_gain),
        limb_order=choose(LimbOrder, limb_order, "limb order"),
        start_s=start_s,
    )
    _check_start(recording, start_s)
    return Page(drawing=_compose(recording, assessment, settings))


def _compose(
    recording: Recording, assessment: Assessment | None, settings: PrintSettings
) -> Drawing:
    deviations = list_deviations(recording, settings)
    tell_now = assessment.tell_now if assessment is not None else None
    told = list_tell_now_lines(tell_now, CONTENT_WIDTH_MM)
    frames = divide_sheet(settings.paper, with_banner=bool(deviations), tell_now_lines=len(told))
    bands = [make_banner(deviations, frames.banner)] if frames.banner is not None else []
    if tell_now is not None and frames.tell_now is not None:
        bands.insert(0, make_tell_now_band(tell_now, told, frames.tell_now))
    arrangement, rows = _divide_plot(recording, settings, frames.plot)
    return Drawing(
        width_mm=frames.width_mm,
        height_mm=frames.height_mm,
        title=f"ECG {short_digest(recording)}".strip(),
        description=_describe(recording, settings, arrangement),
        layers=(
            make_grid(rows.box),
            make_calibration(arrangement.strips, rows, settings.gains),
            *make_traces(recording, arrangement.strips, rows, settings.gains),
            make_header(recording, assessment, frames.identity),
            *bands,
            make_report(recording, assessment, frames.details),
            make_footer(recording, settings, describe_shown(recording, arrangement), frames.footer),
        ),
    )


def _check_start(recording: Recording, start_s: float) -> None:
    if not 0.0 <= start_s < recording.duration_s:
        raise InvalidInput(
            f"the page would begin at {start_s} s, but the recording lasts "
            f"{recording.duration_s:g} s; choose a start within it"
        )


def _divide_plot(
    recording: Recording, settings: PrintSettings, box: Box
) -> tuple[Arrangement, Rows]:
    """Rows and columns of the plot.

    How much time a row holds depends on the room for calibration pulses, and that room on which
    leads share a row; the leads are therefore arranged once to see, and once to stay.
    """
    speed, gains = settings.speed_mm_per_s, settings.gains
    seen = arrange(recording, settings, box.width_mm / speed)
    lane_count = count_lanes(seen.strips, gains, box.height_mm / seen.row_count)
    zone_mm = calibration_zone_mm(speed, lane_count)
    arrangement = arrange(recording, settings, (box.width_mm - zone_mm) / speed)
    share_mm = box.height_mm / arrangement.row_count
    top, bottom = (
        [extent_mm(recording, strip, gains) for strip in arrangement.strips if strip.row == row]
        for row in (0, arrangement.row_count - 1)
    )
    rows = Rows(
        box=box,
        zone_mm=zone_mm,
        baselines_mm=place_baselines(
            box,
            arrangement.row_count,
            pulse_mm=gains.tallest_mm_per_mv,
            rise_mm=max(rise for rise, _ in top),
            fall_mm=max(fall for _, fall in bottom),
        ),
        column_count=arrangement.column_count,
        speed_mm_per_s=speed,
        label_rise_mm=min(share_mm * _LABEL_RISE_SHARE, _LABEL_RISE_MAX_MM),
        lane_count=lane_count,
    )
    return arrangement, rows


def _describe(recording: Recording, settings: PrintSettings, arrangement: Arrangement) -> str:
    start, end = arrangement.shown_s
    return (
        f"ECG, {len(recording.leads)} leads, layout {settings.layout}, {start:g} to {end:g} s, "
        f"{settings.speed_mm_per_s:g} mm/s, {settings.gains.limb_mm_per_mv:g} mm/mV"
    )
