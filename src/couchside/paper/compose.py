"""From a recording to a page."""

from __future__ import annotations

from couchside.errors import InvalidInput
from couchside.paper.calibration import make_calibration
from couchside.paper.continued import draw_continued
from couchside.paper.filing import (
    Filing,
    choose_patient,
    describe_decision,
    describe_decision_in_short,
    list_identity_notes,
)
from couchside.paper.footer import lay_out_footer, list_facts, make_footer
from couchside.paper.frames import CONTENT_WIDTH_MM, divide_sheet
from couchside.paper.grid import make_grid
from couchside.paper.header import (
    IDENTITY_ROOM_MM,
    count_lines,
    list_notices,
    make_banner,
    make_header,
)
from couchside.paper.identity import lay_out_identity
from couchside.paper.in_full import list_sections
from couchside.paper.layouts import Arrangement
from couchside.paper.model import Drawing
from couchside.paper.page import Page
from couchside.paper.plot import divide_plot
from couchside.paper.report import Remarks, make_report
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
from couchside.paper.traces import make_traces
from couchside.paper.wording import describe_shown, list_deviations, short_digest
from couchside.quality.model import Assessment
from couchside.recording import Recording


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
    filing: Filing | None = None,
) -> Page:
    """Draw a recording to scale on one landscape page, and what it cannot tell on further ones.

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
    filing : Filing or None
        The person it is filed under, whom the page then names, and what was decided.

    Returns
    -------
    Page
        With `pdf()` and `svg()`, which give bytes; the SVG holds the first page.

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
    return _compose(recording, assessment, filing, settings)


def _compose(
    recording: Recording,
    assessment: Assessment | None,
    filing: Filing | None,
    settings: PrintSettings,
) -> Page:
    patient = choose_patient(recording, filing)
    identity = lay_out_identity(patient, recording.start, IDENTITY_ROOM_MM)
    notices = list_notices(
        list_identity_notes(recording, filing), list_deviations(recording, settings)
    )
    tell_now = assessment.tell_now if assessment is not None else None
    told = list_tell_now_lines(tell_now, CONTENT_WIDTH_MM)
    frames = divide_sheet(
        settings.paper,
        banner_lines=count_lines(notices),
        tell_now_lines=len(told.lines),
        identity_mm=identity.height_mm,
    )
    bands = [make_banner(notices, frames.banner)] if frames.banner is not None else []
    if tell_now is not None and frames.tell_now is not None:
        bands.insert(0, make_tell_now_band(tell_now, list(told.lines), frames.tell_now))
    arrangement, rows = divide_plot(recording, settings, frames.plot)
    remarks = _list_remarks(recording, filing, assessment)
    report = make_report(assessment, remarks, frames.details)
    written = [patient.full_name, patient.identifier, *(words for words, _ in remarks)]
    facts = list_facts(recording, settings, describe_shown(recording, arrangement), written)
    footer = lay_out_footer(facts)
    title = f"ECG {short_digest(recording)}".strip()
    first = Drawing(
        width_mm=frames.width_mm,
        height_mm=frames.height_mm,
        title=title,
        description=_describe(recording, settings, arrangement),
        layers=(
            make_grid(rows.box),
            make_calibration(arrangement.strips, rows, settings.gains),
            *make_traces(recording, arrangement.strips, rows, settings.gains),
            make_header(identity, assessment, describe_decision_in_short(filing), frames.identity),
            *bands,
            report.layer,
            make_footer(footer, frames.footer),
        ),
    )
    if report.is_whole and told.is_whole and footer.is_whole:
        return Page(drawing=first)
    sections = list_sections(
        assessment,
        remarks,
        None if told.is_whole else tell_now,
        [] if footer.is_whole else facts,
    )
    return Page(drawing=first, further=draw_continued(sections, frames, identity, footer, title))


def _list_remarks(
    recording: Recording, filing: Filing | None, assessment: Assessment | None
) -> Remarks:
    """Decision or the policy's remark, who was told, the comparison, what came with the file."""
    decided = [(words, index == 0) for index, words in enumerate(describe_decision(filing))]
    came = [" / ".join(recording.remarks)] if recording.remarks else []
    told = filing.told if filing is not None else ()
    compared = (filing.comparison,) if filing is not None and filing.comparison else ()
    policy = assessment.policy if assessment is not None else None
    if not decided and policy is not None and policy.remark:
        decided = [(policy.remark, False)]
    return [*decided, *((words, False) for words in (*told, *compared, *came))]


def _check_start(recording: Recording, start_s: float) -> None:
    if not 0.0 <= start_s < recording.duration_s:
        raise InvalidInput(
            f"the page would begin at {start_s} s, but the recording lasts "
            f"{recording.duration_s:g} s; choose a start within it"
        )


def _describe(recording: Recording, settings: PrintSettings, arrangement: Arrangement) -> str:
    start, end = arrangement.shown_s
    return (
        f"ECG, {len(recording.leads)} leads, layout {settings.layout}, {start:g} to {end:g} s, "
        f"{settings.speed_mm_per_s:g} mm/s, {settings.gains.limb_mm_per_mv:g} mm/mV"
    )
