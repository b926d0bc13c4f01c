"""A page that holds one recording against an earlier one of the same person."""

from __future__ import annotations

from couchside.paper.footer import lay_out_footer, make_footer
from couchside.paper.frames import CONTENT_WIDTH_MM, divide_sheet
from couchside.paper.grid import make_grid
from couchside.paper.header import make_rule
from couchside.paper.identity import lay_out_identity, make_identity
from couchside.paper.inks import Ink
from couchside.paper.layouts import Strip, make_strip
from couchside.paper.model import Anchor, Box, Drawing, Layer, Mark, Text, printable
from couchside.paper.overlay import Overlay, describe_overlay, draw_overlay
from couchside.paper.page import Page
from couchside.paper.rows import Rows
from couchside.paper.sizes import (
    STANDARD_GAIN_MM_PER_MV,
    STANDARD_SPEED_MM_PER_S,
    Gains,
    PaperSize,
    choose,
)
from couchside.paper.traces import make_traces
from couchside.paper.typeface import shorten, wrap
from couchside.paper.wording import short_digest
from couchside.recording import Lead, Recording
from couchside.serial import Comparison, Examined
from couchside.serial.words import (
    ChangeRow,
    LeadRow,
    describe_when,
    list_change_rows,
    list_lead_rows,
    summarise,
)

_TITLE_MM = 60.0
_SIZE_MM = 2.5
_LINE_MM = 3.15
_STRIP_MM = 25.0
_OVERLAY_MM = 85.0
_COLUMNS = 6
_ZONE_MM = 15.0
_CHANGES_MM, _LEADS_MM = 120.0, 64.0
_GAP_MM = 3.0


def render_comparison(
    new: Examined, comparison: Comparison, *, paper: PaperSize | str = PaperSize.A4
) -> Page:
    """Draw both representative beats of each lead one over the other, and what changed.

    Parameters
    ----------
    new, comparison
        The later recording, and its comparison with the earlier one.
    paper : {"A4", "letter"}
        The sheet, landscape.

    Returns
    -------
    Page
        From the top: whose recordings they are; what the comparison comes to; the beats; the first
        five seconds of one lead, now at the left and then at the right; measures, leads, and what
        is not like for like. Sentences that have no room are counted in the last line.

    Raises
    ------
    InvalidInput
        If there is no such paper.
    """
    recording, size = new.recording, choose(PaperSize, paper, "paper size")
    identity = lay_out_identity(recording.patient, recording.start, CONTENT_WIDTH_MM - _TITLE_MM)
    frames = divide_sheet(size, identity_mm=identity.height_mm)
    sentences, below_mm = _summary(comparison, frames.identity)
    layers = [
        Layer(
            name="header",
            marks=(
                *make_identity(identity, frames.identity),
                *_title(comparison, frames.identity),
                make_rule(frames.identity),
            ),
        ),
        sentences,
    ]
    overlaid, below_mm = _overlay(comparison, frames.identity, below_mm)
    strips, below_mm = _strips(new.recording, comparison, frames.identity, below_mm)
    tables = Box(
        left_mm=frames.identity.left_mm,
        top_mm=below_mm,
        width_mm=CONTENT_WIDTH_MM,
        height_mm=frames.footer.top_mm - below_mm,
    )
    footer = lay_out_footer([f"new {_name(recording)}", f"old {_name(comparison.old.recording)}"])
    return Page(
        drawing=Drawing(
            width_mm=frames.width_mm,
            height_mm=frames.height_mm,
            title=f"ECG comparison {short_digest(recording)}".strip(),
            description="Two ECGs of one person compared: beats laid upon another, and changes",
            layers=(
                *layers,
                *overlaid,
                *strips,
                _tables(comparison, tables),
                make_footer(footer, frames.footer),
            ),
        )
    )


def _title(comparison: Comparison, box: Box) -> list[Mark]:
    told = (("Comparison", 4.8, 5.0), (f"with {describe_when(comparison)}", 2.9, 10.2))
    return [
        Text(
            x_mm=box.right_mm,
            y_mm=box.top_mm + down,
            content=words,
            size_mm=size,
            bold=size > 4.0,
            anchor=Anchor.END,
        )
        for words, size, down in told
    ]


def _summary(comparison: Comparison, box: Box) -> tuple[Layer, float]:
    """The sentences, and where they end."""
    words = printable(" ".join(summarise(comparison))).split(" ")
    lines = wrap(words, box.width_mm, _SIZE_MM + 0.2, bold=False)[:4]
    top = box.bottom_mm + 3.8
    marks = tuple(
        _text(line, box.left_mm, top + index * 3.5, size_mm=_SIZE_MM + 0.2)
        for index, line in enumerate(lines)
    )
    return Layer(name="summary", marks=marks), top + (len(lines) - 1) * 3.5 + 1.6


def _overlay(comparison: Comparison, box: Box, top_mm: float) -> tuple[tuple[Layer, ...], float]:
    if comparison.beats is None:
        words = "The beats could not be laid upon each other."
        note = _text(words, box.left_mm, top_mm + 3.0)
        return (Layer(name="overlay", marks=(note,)),), top_mm + 5.0
    drawn: Overlay = draw_overlay(
        comparison.beats,
        left_mm=box.left_mm,
        top_mm=top_mm,
        width_mm=CONTENT_WIDTH_MM,
        column_count=_COLUMNS,
        room_mm=_OVERLAY_MM,
    )
    caption = _text(
        describe_overlay(comparison, drawn),
        box.left_mm,
        drawn.box.bottom_mm + 3.0,
        ink=Ink.QUIET_TEXT,
    )
    layers = (*drawn.layers, Layer(name="caption", marks=(caption,)))
    return layers, drawn.box.bottom_mm + 4.4


def _strips(
    new: Recording, comparison: Comparison, box: Box, top_mm: float
) -> tuple[tuple[Layer, ...], float]:
    """The first seconds of one lead, now and then, in one row."""
    old = comparison.old.recording
    common = [lead for lead in new.leads if lead in old.leads]
    if not common:
        return (), top_mm
    lead = str(Lead.II) if Lead.II in common else common[0]
    rows = Rows(
        box=Box(left_mm=box.left_mm, top_mm=top_mm, width_mm=CONTENT_WIDTH_MM, height_mm=_STRIP_MM),
        zone_mm=_ZONE_MM,
        baselines_mm=(top_mm + 15.0,),
        column_count=2,
        speed_mm_per_s=STANDARD_SPEED_MM_PER_S,
        label_rise_mm=10.0,
    )
    gains = Gains(limb_mm_per_mv=STANDARD_GAIN_MM_PER_MV, chest_mm_per_mv=STANDARD_GAIN_MM_PER_MV)
    sides = [_strip(lead, column, rows) for column in (0, 1)]
    words = [("now", sides[0]), (f"then, {describe_when(comparison)}", sides[1])]
    return (
        make_grid(rows.box),
        *make_traces(new, (sides[0],), rows, gains),
        *make_traces(old, (sides[1],), rows, gains),
        Layer(
            name="sides",
            marks=tuple(
                _text(told, rows.left_mm(strip) + 12.0, rows.box.bottom_mm - 1.2)
                for told, strip in words
            ),
        ),
    ), rows.box.bottom_mm + _GAP_MM


def _strip(lead: str, column: int, rows: Rows) -> Strip:
    return make_strip(
        lead,
        column=column,
        length_s=rows.column_mm / rows.speed_mm_per_s,
    )


def _tables(comparison: Comparison, box: Box) -> Layer:
    left = box.left_mm
    marks: list[Mark] = [*_changes(list_change_rows(comparison), left, box)]
    left += _CHANGES_MM + _GAP_MM
    marks += _leads(list_lead_rows(comparison), left, box)
    left += _LEADS_MM + _GAP_MM
    marks += _unlike(comparison, left, box)
    return Layer(name="tables", marks=tuple(marks))


def _changes(rows: tuple[ChangeRow, ...], left_mm: float, box: Box) -> list[Mark]:
    heads = (("Measure", 0.0), ("then", 38.0), ("now", 50.0), ("change", 64.0))
    marks = [_cell(words, left_mm + place, box, 0, bold=True) for words, place in heads]
    for line, row in enumerate(rows[: _line_count(box) - 1], start=1):
        change = f"{row.change} {row.uncertainty}".strip() or "–"
        cells = ((f"{row.name}, {row.unit}", 0.0), (row.old, 38.0), (row.new, 50.0), (change, 64.0))
        marks += [
            _cell(words, left_mm + place, box, line, bold=row.is_notable) for words, place in cells
        ]
        note = shorten(row.note, _CHANGES_MM - 80.0, _SIZE_MM, bold=row.is_notable)
        marks.append(_cell(note, left_mm + 80.0, box, line, bold=row.is_notable))
    return list(marks)


def _leads(rows: tuple[LeadRow, ...], left_mm: float, box: Box) -> list[Mark]:
    heads = (("µV", 0.0), ("QRS", 10.0), ("ST", 22.0), ("T", 32.0), ("unusual", 43.0))
    marks = [_cell(words, left_mm + place, box, 0, bold=True) for words, place in heads]
    for line, row in enumerate(rows[: _line_count(box) - 1], start=1):
        cells = ((row.lead, 0.0), (row.qrs, 10.0), (row.st, 22.0), (row.t, 32.0))
        marks += [_cell(words, left_mm + place, box, line) for words, place in cells]
        marks.append(_cell(row.notable, left_mm + 43.0, box, line, bold=True))
    return list(marks)


def _unlike(comparison: Comparison, left_mm: float, box: Box) -> list[Mark]:
    room = box.right_mm - left_mm
    lines = ["Nothing is known that makes the two unlike."] if not comparison.unlike else []
    for each in comparison.unlike:
        lines += wrap(printable(f"– {each.sentence}").split(" "), room, _SIZE_MM)
    lines = [piece for line in lines for piece in wrap(line.split(" "), room, _SIZE_MM)]
    capacity = _line_count(box) - 1
    if len(lines) > capacity:
        lines = [*lines[: capacity - 1], f"… and {len(lines) - capacity + 1} lines more"]
    head = _cell("Not like for like", left_mm, box, 0, bold=True)
    return [head, *(_cell(line, left_mm, box, n) for n, line in enumerate(lines, start=1))]


def _line_count(box: Box) -> int:
    return max(int(box.height_mm // _LINE_MM), 2)


def _cell(words: str, left_mm: float, box: Box, line: int, *, bold: bool = False) -> Text:
    return _text(words, left_mm, box.top_mm + line * _LINE_MM + 2.5, bold=bold)


def _text(
    words: str,
    left_mm: float,
    y_mm: float,
    *,
    size_mm: float = _SIZE_MM,
    bold: bool = False,
    ink: Ink = Ink.TEXT,
) -> Text:
    return Text(x_mm=left_mm, y_mm=y_mm, content=words, size_mm=size_mm, bold=bold, ink=ink)


def _name(recording: Recording) -> str:
    origin = recording.origin
    return f"{origin.file_name} {short_digest(recording)}" if origin else "not from a file"
