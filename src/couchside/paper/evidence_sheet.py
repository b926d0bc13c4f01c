"""The sheet that shows each finding where it is worst, the electrode apart from the heart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from couchside.paper.evidence import MOST_LEADS, draw_evidence, shows_in_a_lead
from couchside.paper.excerpt import AXIS_MM, MARGIN_MM
from couchside.paper.filing import Filing, choose_patient, list_identity_notes
from couchside.paper.footer import Footer, lay_out_footer, list_facts, make_footer
from couchside.paper.frames import CONTENT_WIDTH_MM, Frames, divide_sheet
from couchside.paper.grid import COARSE_MM
from couchside.paper.header import (
    count_lines,
    list_notices,
    make_banner,
    make_titled_header,
)
from couchside.paper.identity import IdentityBlock, lay_out_identity
from couchside.paper.in_full import ASKS_WORDS
from couchside.paper.inks import Ink
from couchside.paper.model import Box, Drawing, Layer, Text, printable
from couchside.paper.moving import move_layer
from couchside.paper.page import Page, Pages
from couchside.paper.sizes import STANDARD_GAIN_MM_PER_MV, PaperSize, choose
from couchside.paper.typeface import wrap
from couchside.paper.wording import list_deviations, short_digest
from couchside.quality.model import Assessment, Finding
from couchside.recording import Recording

_TITLE_ROOM_MM = 60.0
_COLUMN_MM = 120.0
"""A calibration pulse and 4.2 s at 25 mm/s: what an excerpt of three seconds takes."""
_COLUMN_COUNT = 2
_SMALLER_GAIN_MM_PER_MV = 5.0
_SIZE_MM = 2.6
_LINE_MM = 3.4
_TO_DRAWING_MM = 0.6
_GAP_MM = 3.5
_LEAD_IN_MM = 5.6
_LEAD_IN = (
    "Each finding where it is worst, to scale. Three rows tell an electrode apart: the lead as "
    "recorded, the part put down to the electrode, and the lead without that part."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Piece:
    """A finding's words and drawing, from the page's upper left corner."""

    layers: tuple[Layer, ...]
    height_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sheet:
    """What all pages share."""

    frames: Frames
    identity: IdentityBlock
    bands: tuple[Layer, ...]
    footer: Footer
    title: str


def render_evidence(
    recording: Recording,
    assessment: Assessment,
    *,
    paper: PaperSize | str = PaperSize.A4,
    filing: Filing | None = None,
) -> Pages | None:
    """Draw every finding where it is worst, to scale, as `draw_evidence` does.

    Parameters
    ----------
    recording : Recording
        Drawn as recorded.
    assessment : Assessment
        Of that recording.
    paper : {"A4", "letter"}
        The sheet, landscape.
    filing : Filing or None
        The person it is filed under, whom the pages then name.

    Returns
    -------
    Pages or None
        Findings stand in the order of the check, two beside each other, each with its sentence,
        its remedy and how sure it is; those that show in no lead are told at the end. A
        drawing is at 10 mm/mV, or at 5 where it would be taller than the page; it states which.
        None where no finding shows in a recorded lead.

    Raises
    ------
    InvalidInput
        If there is no such paper.
    """
    size = choose(PaperSize, paper, "paper size")
    if not any(shows_in_a_lead(recording, each) for each in assessment.findings):
        return None
    sheet = _prepare(recording, assessment, size, filing)
    body = _find_body(sheet.frames)
    pieces = [
        *_draw_findings(recording, assessment, body.height_mm),
        *_tell_others(recording, assessment.findings),
    ]
    pages = _divide(pieces, body)
    return Pages(
        pages=tuple(
            _draw_page(sheet, layers, f"page {number} of {len(pages)}")
            for number, layers in enumerate(pages, start=1)
        )
    )


def _prepare(
    recording: Recording, assessment: Assessment, paper: PaperSize, filing: Filing | None
) -> _Sheet:
    patient = choose_patient(recording, filing)
    identity = lay_out_identity(patient, recording.start, CONTENT_WIDTH_MM - _TITLE_ROOM_MM)
    notices = list_notices(
        list_identity_notes(recording, filing), list_deviations(recording, settings=None)
    )
    frames = divide_sheet(paper, banner_lines=count_lines(notices), identity_mm=identity.height_mm)
    written = [patient.full_name, patient.identifier, *(f.sentence for f in assessment.findings)]
    shown = "shows the worst seconds of each finding"
    return _Sheet(
        frames=frames,
        identity=identity,
        bands=() if frames.banner is None else (make_banner(notices, frames.banner),),
        footer=lay_out_footer(list_facts(recording, None, shown, written)),
        title=f"ECG evidence {short_digest(recording)}".strip(),
    )


def _find_body(frames: Frames) -> Box:
    top = (frames.banner or frames.identity).bottom_mm + _LEAD_IN_MM
    return Box(
        left_mm=frames.identity.left_mm,
        top_mm=top,
        width_mm=CONTENT_WIDTH_MM,
        height_mm=frames.footer.top_mm - top,
    )


def _draw_findings(recording: Recording, assessment: Assessment, room_mm: float) -> list[_Piece]:
    pieces = []
    for number, finding in enumerate(assessment.findings, start=1):
        words = _write(_tell(number, finding))
        drawing = _draw_to_fit(recording, assessment, finding, room_mm - words.height_mm)
        if drawing is not None:
            pieces.append(_below(words, drawing))
    return pieces


def _draw_to_fit(
    recording: Recording, assessment: Assessment, finding: Finding, room_mm: float
) -> Drawing | None:
    """At the standard gain where that fits, else at half, else with its rows cut at the page."""
    for gain in (STANDARD_GAIN_MM_PER_MV, _SMALLER_GAIN_MM_PER_MV):
        page = draw_evidence(recording, assessment, finding, gain_mm_per_mv=gain)
        if page is None or page.drawing.height_mm <= room_mm:
            return page.drawing if page is not None else None
    row_mm = (room_mm - MARGIN_MM - AXIS_MM) / MOST_LEADS
    cut = draw_evidence(
        recording,
        assessment,
        finding,
        gain_mm_per_mv=_SMALLER_GAIN_MM_PER_MV,
        tallest_row_mm=(row_mm - COARSE_MM) // 2,
    )
    return cut.drawing if cut is not None else None


def _tell(number: int, finding: Finding) -> list[tuple[str, bool, Ink]]:
    """The sentence, the remedy, and what it asks, where, and how sure it is."""
    facts = (
        ASKS_WORDS[finding.asks],
        ", ".join(finding.leads),
        f"sure to {finding.confidence:.0%}",
    )
    told = [
        (f"{number}. {finding.sentence}", True, Ink.TEXT),
        (finding.remedy, False, Ink.TEXT),
        (" · ".join(facts), False, Ink.QUIET_TEXT),
    ]
    return [each for each in told if each[0]]


def _tell_others(recording: Recording, findings: Sequence[Finding]) -> list[_Piece]:
    """What cannot be drawn, in words."""
    told = [
        (f"{number}. {finding.sentence}", False, Ink.TEXT)
        for number, finding in enumerate(findings, start=1)
        if not shows_in_a_lead(recording, finding)
    ]
    return [_write([("Not drawn, as it shows in no lead", True, Ink.TEXT), *told])] if told else []


def _write(told: Sequence[tuple[str, bool, Ink]]) -> _Piece:
    lines = [
        (line, is_bold, ink)
        for words, is_bold, ink in told
        for line in wrap(printable(words).split(" "), _COLUMN_MM, _SIZE_MM, bold=is_bold)
    ]
    marks = tuple(
        Text(x_mm=0.0, y_mm=_SIZE_MM + n * _LINE_MM, content=line, size_mm=_SIZE_MM, bold=is_bold,
             ink=ink)
        for n, (line, is_bold, ink) in enumerate(lines)
    )  # fmt: skip
    return _Piece(
        layers=(Layer(name="finding", marks=marks),),
        height_mm=len(lines) * _LINE_MM + _TO_DRAWING_MM,
    )


def _below(words: _Piece, drawing: Drawing) -> _Piece:
    """The drawing under the words, its grid flush with them at the left."""
    moved = (move_layer(layer, -MARGIN_MM, words.height_mm) for layer in drawing.layers)
    return _Piece(layers=(*words.layers, *moved), height_mm=words.height_mm + drawing.height_mm)


def _divide(pieces: Sequence[_Piece], body: Box) -> list[list[Layer]]:
    """Two beside each other, then the next two below, then the next page."""
    pages: list[list[Layer]] = []
    y = body.bottom_mm
    for first in range(0, len(pieces), _COLUMN_COUNT):
        row = pieces[first : first + _COLUMN_COUNT]
        height_mm = max(each.height_mm for each in row)
        if y + height_mm > body.bottom_mm:
            pages.append([])
            y = body.top_mm
        for column, piece in enumerate(row):
            x = body.left_mm + column * (body.width_mm - _COLUMN_MM)
            pages[-1] += [move_layer(layer, x, y) for layer in piece.layers]
        y += height_mm + _GAP_MM
    return pages


def _draw_page(sheet: _Sheet, layers: list[Layer], place: str) -> Page:
    frames = sheet.frames
    lead_in = Text(
        x_mm=frames.identity.left_mm,
        y_mm=_find_body(frames).top_mm - 2.0,
        content=_LEAD_IN,
        size_mm=_SIZE_MM,
        ink=Ink.QUIET_TEXT,
    )
    return Page(
        drawing=Drawing(
            width_mm=frames.width_mm,
            height_mm=frames.height_mm,
            title=sheet.title,
            description=f"The findings of an ECG, each where it is worst, to scale, {place}",
            layers=(
                make_titled_header("Evidence", place, sheet.identity, frames.identity),
                *sheet.bands,
                Layer(name="lead-in", marks=(lead_in,)),
                *layers,
                make_footer(sheet.footer, frames.footer),
            ),
        )
    )
