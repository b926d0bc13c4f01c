"""What other programs make of the PDF: poppler renders it, lists its fonts and reads its words."""

from __future__ import annotations

import shutil
import subprocess
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from couchside.paper import render
from couchside.recording import STANDARD_LEADS, Patient, Recording

PIXELS_PER_MM = 10
DPI = PIXELS_PER_MM * 25.4
NAMES = ["Żółkiewska-Łoś, Świętosława", "Παπαδοπούλου, Ελένη", "Nguyễn, Thị Ánh Tuyết",
         "Ђорђевић, Љубица", "Çağlayan, Şükrü Iğdır"]  # fmt: skip

pytestmark = pytest.mark.skipif(
    shutil.which("pdftoppm") is None, reason="poppler-utils is not installed"
)


def record(family_name: str = "", given_name: str = "") -> Recording:
    """Lead II alone has spikes of 1 mV, 0.8 s apart, from 0.3 s on."""
    rows = np.zeros((12, 1000))
    rows[1, 30::80] = 1000.0
    return Recording(
        leads=tuple(str(lead) for lead in STANDARD_LEADS),
        microvolts=rows,
        rate_hz=100.0,
        patient=Patient(
            identifier="4711",
            family_name=family_name,
            given_name=given_name,
            birth_date=date(1956, 8, 2),
        ),
    )


def poppler(tmp_path: Path, content: bytes, *command: str) -> bytes:
    path = tmp_path / "page.pdf"
    path.write_bytes(content)
    line = [part.replace("PAGE", str(path)) for part in command]
    return subprocess.run(line, check=True, capture_output=True).stdout


def rendered(tmp_path: Path, content: bytes) -> NDArray[np.uint8]:
    """The page in grey, 10 pixels to a millimetre."""
    grey = poppler(tmp_path, content, "pdftoppm", "-gray", "-r", f"{DPI:g}", "-singlefile", "PAGE")
    _, size, _, pixels = grey.split(b"\n", 3)
    width, height = map(int, size.split())
    return np.frombuffer(pixels, dtype=np.uint8).reshape(height, width)


@pytest.mark.parametrize(("paper", "size"), [("A4", (2970, 2100)), ("letter", (2794, 2159))])
def test_sheet_has_its_size(tmp_path: Path, paper: str, size: tuple[int, int]) -> None:
    height, width = rendered(tmp_path, render(record(), paper=paper).pdf()).shape
    # A renderer rounds a sheet up to whole pixels.
    assert (width, height) == pytest.approx(size, abs=1)


def test_peaks_stand_to_scale_in_the_picture(tmp_path: Path) -> None:
    """Twelve RR intervals of 0.8 s at 25 mm/s are 240 mm; a pixel is 0.1 mm."""
    picture = rendered(tmp_path, render(record(), layout="12x1").pdf())
    dark = picture < 80
    # The second row: the only trace that rises by 10 mm; its tips are found 9 mm above its level.
    rows = np.flatnonzero(dark[:, 500:2600].mean(axis=1) > 0.9)
    level = rows[(rows > rows[0] + 60)][0]
    columns = np.flatnonzero(dark[level - 90, 350:2850]) + 350
    peaks = [group.mean() for group in np.split(columns, np.flatnonzero(np.diff(columns) > 20) + 1)]
    assert len(peaks) == 13
    assert (peaks[-1] - peaks[0]) / PIXELS_PER_MM == pytest.approx(240.0, abs=0.1)


def test_grid_survives_grey(tmp_path: Path) -> None:
    """Paper, fine line, coarse line and trace are four different greys, in this order."""
    picture = rendered(tmp_path, render(record()).pdf())
    plot = picture[1600:1880, 400:2700]
    paper, trace = int(plot.max()), int(plot.min())
    column_means = np.sort(plot.mean(axis=0))
    assert paper == 255
    assert trace < 60
    fine, coarse = np.median(column_means), column_means[: len(column_means) // 100].mean()
    assert coarse + 8 < fine < 252


def test_fonts_are_embedded_and_have_unicode(tmp_path: Path) -> None:
    listing = poppler(tmp_path, render(record()).pdf(), "pdffonts", "PAGE").decode()
    fonts = [line.split() for line in listing.splitlines()[2:]]
    assert {words[0].split("+")[1] for words in fonts} == {"DejaVuSans", "DejaVuSans-Bold"}
    for words in fonts:
        embedded, subset, unicode = words[-5:-2]
        assert (embedded, subset, unicode) == ("yes", "yes", "yes")


@pytest.mark.parametrize("name", NAMES)
def test_names_are_shown(tmp_path: Path, name: str) -> None:
    family, given = name.split(", ")
    page = render(record(family_name=family, given_name=given))
    words = poppler(tmp_path, page.pdf(), "pdftotext", "-layout", "PAGE", "-").decode()
    assert name in words


def test_same_recording_gives_the_same_bytes() -> None:
    first, second = (render(record(family_name="Same")) for _ in range(2))
    assert first.pdf() == second.pdf()
    assert first.svg() == second.svg()
