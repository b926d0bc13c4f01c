"""Beats whose waves are drawn, so that what is measured is known without any detection."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import pytest
from numpy.typing import NDArray

from couchside.waves import GlobalBounds, RepresentativeBeat, WaveBounds, Waves

RATE_HZ = 1000.0
QRS_ONSET, QRS_OFFSET = 400, 500
P_ONSET, P_OFFSET, T_ONSET, T_OFFSET = 250, 350, 600, 780


@pytest.fixture
def draw_lead() -> Callable[..., NDArray[np.float64]]:
    """Draws one lead: triangles as (µV, ms) one after another from QRS onset, then ST, P and T."""

    def draw(
        *triangles: tuple[float, float],
        after_ms: float = 0.0,
        p_uv: float = 0.0,
        t_uv: float = 0.0,
        st_uv: float = 0.0,
    ) -> NDArray[np.float64]:
        times = np.arange(900, dtype=np.float64)
        lead = np.zeros(times.size)
        start = QRS_ONSET + after_ms
        for height_uv, length_ms in triangles:
            place = (times - start) / length_ms
            lead += height_uv * np.clip(1.0 - np.abs(2.0 * place - 1.0), 0.0, 1.0)
            start += length_ms
        lead[(times >= QRS_OFFSET) & (times < T_ONSET)] += st_uv
        lead += p_uv * _half_sine(times, P_ONSET, P_OFFSET)
        lead += t_uv * _half_sine(times, T_ONSET, T_OFFSET)
        return lead

    return draw


@pytest.fixture
def make_waves() -> Callable[..., Waves]:
    """Waves of one drawn beat; boundaries are those that were drawn."""

    def make(
        rows: dict[str, NDArray[np.float64]],
        *,
        has_p: bool = True,
        qrs_spans: Sequence[tuple[float, float]] | None = None,
        noise_uv: float = 0.0,
        beats_s: Sequence[float] = (1.0, 2.0, 3.0),
    ) -> Waves:
        leads = tuple(rows)
        spans = qrs_spans or [(QRS_ONSET, QRS_OFFSET)] * len(leads)
        beat = RepresentativeBeat(
            leads=leads,
            microvolts=np.stack(list(rows.values())),
            rate_hz=RATE_HZ,
            fiducial_sample=430,
            beat_count=4,
            p=_bounds(len(leads), P_ONSET, P_OFFSET),
            qrs=WaveBounds(
                onset=np.array([start for start, _ in spans]),
                peak=np.full(len(leads), 430.0),
                offset=np.array([end for _, end in spans]),
            ),
            t=_bounds(len(leads), T_ONSET, T_OFFSET),
            overall=GlobalBounds(
                p_onset=P_ONSET if has_p else np.nan,
                p_offset=P_OFFSET if has_p else np.nan,
                qrs_onset=QRS_ONSET,
                qrs_offset=QRS_OFFSET,
                t_offset=T_OFFSET,
            ),
            residual_rms_uv=np.full(len(leads), noise_uv),
        )
        samples = np.rint(np.array(beats_s) * RATE_HZ).astype(np.int64)
        none = np.full((len(leads), samples.size), np.nan)
        empty = WaveBounds(onset=none, peak=none, offset=none)
        return Waves(
            leads=leads,
            rate_hz=RATE_HZ,
            beat_samples=samples,
            beat_groups=np.zeros(samples.size, dtype=np.int64),
            p=empty,
            qrs=empty,
            t=empty,
            representative=beat,
        )

    return make


def _bounds(count: int, onset: float, offset: float) -> WaveBounds:
    middle = (onset + offset) / 2
    return WaveBounds(
        onset=np.full(count, onset), peak=np.full(count, middle), offset=np.full(count, offset)
    )


def _half_sine(times: NDArray[np.float64], onset: float, offset: float) -> NDArray[np.float64]:
    inside = (times >= onset) & (times <= offset)
    wave: NDArray[np.float64] = np.sin(np.pi * (times - onset) / (offset - onset)) * inside
    return wave
