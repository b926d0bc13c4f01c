"""The scale, read back from the finished files: path coordinates of the PDF and of the SVG.

The promise is 0.1 mm over 250 mm. PDF coordinates are written in points with two decimals, which
rounds by at most 0.005 pt = 0.0018 mm; a distance between two of them by at most 0.0036 mm. SVG
coordinates carry three decimals of a millimetre. A tolerance of 0.01 mm therefore holds any single
distance, and is ten times tighter than the promise.
"""

from __future__ import annotations

import itertools
import re
from dataclasses import dataclass, field, replace
from io import BytesIO
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from numpy.typing import NDArray
from pypdf import PdfReader
from pypdf.generic import ContentStream, FloatObject

from couchside.paper import excerpt, render
from couchside.paper.inks import LOOKS, Ink
from couchside.recording import CABRERA_LIMB_LEADS, STANDARD_LEADS, Recording

POINTS_PER_MM = 72 / 25.4
TOLERANCE_MM = 0.01
RATE_HZ = 100.0
SPIKE_EVERY, SPIKE_FIRST = 80, 30
PAPERS = {"A4": (297.0, 210.0), "letter": (279.4, 215.9)}
ROWS = {
    "3x4+1": [["I", "aVR", "V1", "V4"], ["II", "aVL", "V2", "V5"], ["III", "aVF", "V3", "V6"],
              ["II"]],
    "3x4+3": [["I", "aVR", "V1", "V4"], ["II", "aVL", "V2", "V5"], ["III", "aVF", "V3", "V6"],
              ["II"], ["V1"], ["V5"]],
    "6x2": [["I", "V1"], ["II", "V2"], ["III", "V3"], ["aVR", "V4"], ["aVL", "V5"],
            ["aVF", "V6"]],
    "12x1": [[str(lead)] for lead in STANDARD_LEADS],
}  # fmt: skip
EVERY_PAGE = list(itertools.product(ROWS, PAPERS, (25.0, 50.0), (5.0, 10.0, 20.0)))

Points = NDArray[np.float64]


@dataclass(frozen=True)
class Path:
    """A stroked path in millimetres from the page's upper left corner."""

    ink: Ink
    lines: list[Points]


def spikes_of(lead: str) -> float:
    """Height of a lead's spikes in µV: 100 µV times its place, so that a trace tells its lead."""
    return 100.0 * ([str(name) for name in STANDARD_LEADS].index(lead) + 1)


@pytest.fixture(scope="module")
def recording() -> Recording:
    rows = np.zeros((12, round(10 * RATE_HZ)))
    for row, lead in zip(rows, STANDARD_LEADS, strict=True):
        row[SPIKE_FIRST::SPIKE_EVERY] = spikes_of(lead)
    return Recording(
        leads=tuple(str(lead) for lead in STANDARD_LEADS), microvolts=rows, rate_hz=RATE_HZ
    )


@pytest.mark.parametrize(("layout", "paper", "speed", "gain"), EVERY_PAGE)
def test_pdf_is_to_scale(
    recording: Recording, layout: str, paper: str, speed: float, gain: float
) -> None:
    page = render(recording, layout=layout, paper=paper, speed_mm_per_s=speed, gain_mm_per_mv=gain)
    paths = read_pdf(page.pdf(), PAPERS[paper])
    check_grid(paths)
    check_calibration(paths, speed=speed, gain=gain, row_count=len(ROWS[layout]))
    check_traces(paths, ROWS[layout], speed=speed, gains=(gain, gain))
    check_places_on_the_grid(paths)


@pytest.mark.parametrize(("layout", "paper", "speed", "gain"), EVERY_PAGE)
def test_svg_is_to_scale(
    recording: Recording, layout: str, paper: str, speed: float, gain: float
) -> None:
    page = render(recording, layout=layout, paper=paper, speed_mm_per_s=speed, gain_mm_per_mv=gain)
    paths = read_svg(page.svg(), PAPERS[paper])
    check_grid(paths)
    check_calibration(paths, speed=speed, gain=gain, row_count=len(ROWS[layout]))
    check_traces(paths, ROWS[layout], speed=speed, gains=(gain, gain))
    check_places_on_the_grid(paths)


@pytest.mark.parametrize("speed", [25.0, 50.0])
@pytest.mark.parametrize(("limb", "chest"), [(10.0, 5.0), (20.0, 10.0)])
@pytest.mark.parametrize("layout", list(ROWS))
def test_split_gain_shows_both_pulses_to_scale(
    recording: Recording, layout: str, limb: float, chest: float, speed: float
) -> None:
    page = render(
        recording,
        layout=layout,
        speed_mm_per_s=speed,
        gain_mm_per_mv=limb,
        chest_gain_mm_per_mv=chest,
    )
    paths = read_pdf(page.pdf(), PAPERS["A4"])
    check_traces(paths, ROWS[layout], speed=speed, gains=(limb, chest))
    heights = [round(float(np.ptp(pulse[:, 1])), 2) for pulse in lines_of(paths, Ink.CALIBRATION)]
    in_rows = [
        [limb] * any(not lead.startswith("V") for lead in row)
        + [chest] * any(lead.startswith("V") for lead in row)
        for row in ROWS[layout]
    ]
    assert heights == pytest.approx(list(itertools.chain(*in_rows)), abs=TOLERANCE_MM)


def test_ten_seconds_span_250_mm(recording: Recording) -> None:
    paths = read_pdf(render(recording, layout="12x1").pdf(), PAPERS["A4"])
    for trace in lines_of(paths, Ink.TRACE):
        assert trace[-1, 0] - trace[0, 0] == pytest.approx(250.0 - 25.0 / RATE_HZ, abs=0.01)


def test_cabrera_draws_avr_upside_down(recording: Recording) -> None:
    paths = read_pdf(render(recording, layout="12x1", limb_order="Cabrera").pdf(), PAPERS["A4"])
    order = [*CABRERA_LIMB_LEADS, *STANDARD_LEADS[6:]]
    for trace, lead in zip(lines_of(paths, Ink.TRACE), order, strict=True):
        expected = spikes_of(lead) / 100 * (-1 if lead == "aVR" else 1)
        assert trace[0, 1] - trace[SPIKE_FIRST, 1] == pytest.approx(expected, abs=TOLERANCE_MM)


@pytest.mark.parametrize("speed", [25.0, 50.0])
@pytest.mark.parametrize("gain", [5.0, 10.0, 20.0])
def test_excerpt_is_to_scale_and_marks_its_span(
    recording: Recording, speed: float, gain: float
) -> None:
    page = excerpt(recording, ("V2", "I"), (3.1, 4.3), speed_mm_per_s=speed, gain_mm_per_mv=gain)
    size = (page.drawing.width_mm, page.drawing.height_mm)
    for paths in (read_pdf(page.pdf(), size), read_svg(page.svg(), size)):
        check_grid(paths)
        check_calibration(paths, speed=speed, gain=gain, row_count=2)
        v2, one = lines_of(paths, Ink.TRACE)
        # The first spike inside the strip, which begins at 2.2 s, is sample 270 = 2.7 s.
        for trace, lead in ((v2, "V2"), (one, "I")):
            spike = trace[int(np.argmin(trace[:, 1]))]
            assert spike[0] - trace[0, 0] == pytest.approx((2.7 - 2.2) * speed, abs=TOLERANCE_MM)
            height = trace[0, 1] - spike[1]
            assert height == pytest.approx(spikes_of(lead) / 1000 * gain, abs=TOLERANCE_MM)
        start, end = (line[0, 0] - v2[0, 0] for line in lines_of(paths, Ink.SPAN_EDGE))
        assert start == pytest.approx((3.1 - 2.2) * speed, abs=TOLERANCE_MM)
        assert end == pytest.approx((4.3 - 2.2) * speed, abs=TOLERANCE_MM)


def test_both_files_hold_the_same_lines(recording: Recording) -> None:
    page = render(recording)
    from_pdf, from_svg = read_pdf(page.pdf(), PAPERS["A4"]), read_svg(page.svg(), PAPERS["A4"])
    for ink in (Ink.GRID_FINE, Ink.GRID_COARSE, Ink.CALIBRATION, Ink.TRACE, Ink.TICK):
        for first, second in zip(lines_of(from_pdf, ink), lines_of(from_svg, ink), strict=True):
            np.testing.assert_allclose(first, second, rtol=0, atol=TOLERANCE_MM)


def check_grid(paths: list[Path]) -> None:
    """Every fifth millimetre a coarse line, every other one a fine line, both ways."""
    for axis in (0, 1):
        fine = places_of(lines_of(paths, Ink.GRID_FINE), axis)
        coarse = places_of(lines_of(paths, Ink.GRID_COARSE), axis)
        together = np.sort(np.concatenate([fine, coarse]))
        expected = together[0] + np.arange(len(together))
        np.testing.assert_allclose(together, expected, rtol=0, atol=TOLERANCE_MM)
        np.testing.assert_allclose(coarse, together[::5], rtol=0, atol=TOLERANCE_MM)
        assert together[0] == coarse[0]
        assert together[-1] == coarse[-1]


def check_calibration(paths: list[Path], *, speed: float, gain: float, row_count: int) -> None:
    pulses = lines_of(paths, Ink.CALIBRATION)
    assert len(pulses) == row_count
    for pulse in pulses:
        top = pulse[pulse[:, 1] < pulse[:, 1].min() + TOLERANCE_MM]
        assert np.ptp(pulse[:, 1]) == pytest.approx(gain, abs=TOLERANCE_MM)
        assert np.ptp(top[:, 0]) == pytest.approx(0.2 * speed, abs=TOLERANCE_MM)


def check_traces(
    paths: list[Path], rows: list[list[str]], *, speed: float, gains: tuple[float, float]
) -> None:
    """Each trace in its place: even steps in time, true heights, and RR intervals of 0.8 s."""
    traces = lines_of(paths, Ink.TRACE)
    leads = [lead for row in rows for lead in row]
    assert len(traces) == len(leads)
    for trace, lead in zip(traces, leads, strict=True):
        gain = gains[lead.startswith("V")]
        steps = (trace[:, 0] - trace[0, 0]) * RATE_HZ / speed
        np.testing.assert_allclose(steps, np.arange(len(steps)), rtol=0, atol=0.01 * RATE_HZ / 25)
        level = np.median(trace[:, 1])
        peaks = trace[level - trace[:, 1] > 0.1]
        height = spikes_of(lead) / 1000 * gain
        np.testing.assert_allclose(level - peaks[:, 1], height, rtol=0, atol=TOLERANCE_MM)
        np.testing.assert_allclose(np.diff(peaks[:, 0]), 0.8 * speed, rtol=0, atol=TOLERANCE_MM)
        assert len(peaks) >= 1
    check_columns(traces, rows)


def check_columns(traces: list[Points], rows: list[list[str]]) -> None:
    """Traces of one row follow one another; rows stand under one another at one left edge."""
    remaining = iter(traces)
    for row in rows:
        in_row = [next(remaining) for _ in row]
        assert in_row[0][0, 0] == pytest.approx(traces[0][0, 0], abs=TOLERANCE_MM)
        starts = [trace[0, 0] for trace in in_row]
        assert starts == sorted(starts)
        levels = [np.median(trace[:, 1]) for trace in in_row]
        assert np.ptp(levels) < TOLERANCE_MM


def check_places_on_the_grid(paths: list[Path]) -> None:
    """Time begins on a coarse line, and level lines lie on millimetre lines."""
    left, top = (places_of(lines_of(paths, Ink.GRID_COARSE), axis)[0] for axis in (0, 1))
    traces = lines_of(paths, Ink.TRACE)
    begin = min(trace[0, 0] for trace in traces) - left
    assert begin / 5 == pytest.approx(round(begin / 5), abs=TOLERANCE_MM)
    for trace in traces:
        level = float(np.median(trace[:, 1])) - top
        assert level == pytest.approx(round(level), abs=TOLERANCE_MM)


def lines_of(paths: list[Path], ink: Ink) -> list[Points]:
    return [line for path in paths if path.ink is ink for line in path.lines]


def places_of(lines: list[Points], axis: int) -> Points:
    """Where the lines that run across an axis stand on it."""
    across = [line[0, axis] for line in lines if np.ptp(line[:, axis]) < TOLERANCE_MM]
    return np.sort(np.array(across))


@dataclass
class Pen:
    """What of the PDF graphics state matters here."""

    colour: tuple[float, ...] = (0.0, 0.0, 0.0)
    width_mm: float = 0.0
    matrix: Points = field(default_factory=lambda: np.eye(3))


def read_pdf(content: bytes, size_mm: tuple[float, float]) -> list[Path]:
    """Stroked paths of the only page, from its content stream, with their inks."""
    (page,) = PdfReader(BytesIO(content)).pages
    width, height = (float(edge) / POINTS_PER_MM for edge in page.mediabox[2:])
    assert (width, height) == pytest.approx(size_mm, abs=TOLERANCE_MM)
    contents = page.get_contents()
    assert contents is not None
    paths: list[Path] = []
    lines: list[list[tuple[float, float]]] = []
    pen, stack = Pen(), []
    for operands, operator in ContentStream(contents, None).operations:
        if operator == b"q":
            stack.append(replace(pen))
        elif operator == b"Q":
            pen = stack.pop()
        elif operator in {b"m", b"l"}:
            lines += [[]] if operator == b"m" else []
            lines[-1].append((float(operands[0]), float(operands[1])))
        elif operator in {b"S", b"f", b"f*", b"n", b"B"}:
            ink = find_ink(pen.colour, pen.width_mm) if operator == b"S" else None
            if ink is not None:
                placed = [to_mm(np.array(line), pen.matrix, height) for line in lines]
                paths.append(Path(ink, placed))
            lines = []
        else:
            change_pen(pen, operator, operands)
    return paths


def change_pen(pen: Pen, operator: bytes, operands: list[FloatObject]) -> None:
    if operator == b"cm":
        a, b, c, d, e, f = (float(value) for value in operands)
        pen.matrix = np.array([[a, b, 0], [c, d, 0], [e, f, 1]]) @ pen.matrix
    elif operator == b"RG":
        pen.colour = tuple(float(value) for value in operands)
    elif operator == b"w":
        pen.width_mm = float(operands[0]) / POINTS_PER_MM


def to_mm(points: Points, matrix: Points, page_height_mm: float) -> Points:
    moved = (np.column_stack([points, np.ones(len(points))]) @ matrix)[:, :2] / POINTS_PER_MM
    return np.column_stack([moved[:, 0], page_height_mm - moved[:, 1]])


def find_ink(colour: tuple[float, ...], width_mm: float) -> Ink | None:
    for ink, look in LOOKS.items():
        if look.stroke is None or abs(look.width_mm - width_mm) > 0.005:
            continue
        if np.allclose(np.array(look.stroke) / 255, colour, atol=0.002):
            return ink
    return None


def read_svg(content: bytes, size_mm: tuple[float, float]) -> list[Path]:
    root = ET.fromstring(content)  # noqa: S314 (written by the code under test)
    assert root.get("width") == f"{size_mm[0]:g}mm"
    assert root.get("height") == f"{size_mm[1]:g}mm"
    assert [float(edge) for edge in root.get("viewBox", "").split()] == [0, 0, *size_mm]
    for inner in root.iter("{http://www.w3.org/2000/svg}svg"):
        if inner is not root:
            place = [inner.get(name) for name in ("x", "y", "width", "height")]
            assert inner.get("viewBox", "").split() == place
    paths = []
    for element in root.iter():
        numbers = [float(text) for text in re.findall(r"-?\d+\.\d+", outline_of(element))]
        if numbers:
            points = np.array(numbers).reshape(-1, 2)
            per_line = 2 if element.tag.endswith("path") else len(points)
            lines = list(points.reshape(-1, per_line, 2))
            paths.append(Path(Ink(element.get("class", "")), lines))
    return paths


def outline_of(element: ET.Element) -> str:
    return element.get("points") or element.get("d") or ""
