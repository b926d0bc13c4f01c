"""Draw scenarios of the library as pictures for `docs/simulation.md`.

`python -m tools.plot_scenarios [--out FOLDER] [NAME…]` needs matplotlib, which comes with the
development tools; without names it draws those that the page shows.
"""

from __future__ import annotations

import argparse
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

import matplotlib as mpl
import numpy as np
from PIL import Image

from couchside.recording import Recording
from couchside.simulate import get_scenario, simulate

if TYPE_CHECKING:
    from matplotlib.axes import Axes

mpl.use("Agg")

import matplotlib.pyplot as plt

ROOT = Path(__file__).parents[1]
PICTURES = ROOT / "docs" / "pictures" / "simulation"
SHOWN = (
    "good",
    "loose-left-arm",
    "mains-on-v3",
    "muscle-tremor",
    "arm-cables-exchanged",
    "wander-v5",
    "irregular-rhythm",
    "flutter",
    "left-bundle-branch-block",
    "right-bundle-branch-block",
    "early-ventricular-beats",
    "third-degree-block",
    "inferior-st",
    "newborn",
    "school-child",
)
COLUMNS = (("I", "II", "III"), ("aVR", "aVL", "aVF"), ("V1", "V2", "V3"), ("V4", "V5", "V6"))
COLUMN_S = 2.5
ROW_MV = 2.6
PIXELS_PER_MM = 4.0
MM_PER_INCH = 25.4
GRID = "#efc3bd"
COLOURS = 32


def main() -> None:
    """Draw what was asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, default=PICTURES)
    parser.add_argument("names", nargs="*", default=list(SHOWN))
    wish = parser.parse_args()
    wish.out.mkdir(parents=True, exist_ok=True)
    for name in wish.names:
        scenario = get_scenario(name)
        draw(simulate(scenario).recording, scenario.title, wish.out / f"{name}.png")


def draw(recording: Recording, title: str, target: Path) -> None:
    """Three rows of four leads and a strip of II, 25 mm/s and 10 mm/mV."""
    rows = [-ROW_MV * row for row in range(4)]
    low, high = rows[-1] - 1.4, 1.7
    width_mm, height_mm = 25.0 * 10.0, 10.0 * (high - low)
    figure = plt.figure(figsize=(width_mm / MM_PER_INCH, height_mm / MM_PER_INCH))
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    _grid(axes, low, high)
    for column, leads in enumerate(COLUMNS):
        for row, lead in zip(rows, leads, strict=False):
            start = column * COLUMN_S
            _trace(axes, recording, lead, (start, start + COLUMN_S), row)
    _trace(axes, recording, "II", (0.0, 4 * COLUMN_S), rows[3])
    axes.text(0.05, low + 0.1, f"{title} · simulated · 25 mm/s · 10 mm/mV", fontsize=7)
    drawn = BytesIO()
    figure.savefig(drawn, dpi=PIXELS_PER_MM * MM_PER_INCH, format="png")
    plt.close(figure)
    few = Image.open(drawn).convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)
    few.save(target, optimize=True)


def _grid(axes: Axes, low: float, high: float) -> None:
    axes.set_xlim(0.0, 10.0)
    axes.set_ylim(low, high)
    axes.set_axis_off()
    for second in np.arange(0.0, 10.01, 0.04):
        axes.axvline(second, color=GRID, lw=0.8 if round(second / 0.04) % 5 == 0 else 0.25)
    for millivolt in np.arange(np.ceil(low * 10.0) / 10.0, high, 0.1):
        axes.axhline(millivolt, color=GRID, lw=0.8 if round(millivolt * 10) % 5 == 0 else 0.25)


def _trace(
    axes: Axes, recording: Recording, lead: str, span_s: tuple[float, float], offset_mv: float
) -> None:
    first, last = (round(moment * recording.rate_hz) for moment in span_s)
    millivolts = recording.get_lead(lead)[first:last] / 1000.0
    seconds = np.arange(first, first + len(millivolts)) / recording.rate_hz
    axes.plot(seconds, np.clip(millivolts, -2.5, 2.5) + offset_mv, color="black", lw=0.75)
    axes.text(span_s[0] + 0.04, offset_mv + 0.85, lead, fontsize=8)


if __name__ == "__main__":
    main()
