"""A limb that shakes four to six times a second: slow for muscle, and in a narrow band."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.blame import Blame, find_blame
from couchside.quality.causes import Cause
from couchside.quality.model import Band, FindingKind
from couchside.quality.moments import Selection, measure_moments
from couchside.quality.signals import Signals
from couchside.quality.sources import LIMB_SOURCES, choose_leads, list_sources, source_weights
from couchside.recording import Electrode

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]


def find_shaking(signals: Signals, dead: BoolArray) -> tuple[Cause, ...]:
    """Limb tremor, one cause for each limb that shakes; none where there is no line to see.

    Parameters
    ----------
    signals : Signals
        The recording; what is left in the band of the heart is looked at.
    dead : array of bool, shape (lead, window)
        Where a lead carries no signal; with such leads nothing is said.

    Notes
    -----
    1. The spectrum of what is left without the beats, from stretches of five seconds.
    2. Its highest point between 3.7 and 7.5 Hz; that line and its double must hold most of the
       power from 2 to 14 Hz. Movement has no line; atrial flutter has.
    3. The power in the line must come from limb electrodes alone. Flutter does not: it stands in
       the chest leads with a shape of its own.
    """
    chosen = choose_leads(signals.leads)
    if chosen is None or dead.any() or signals.duration_s < thresholds.SHAKING_STRETCH_S:
        return ()
    rows = [signals.leads.index(name) for name in chosen]
    left_over = signals.noise[Band.MOVEMENT][rows]
    found: dict[str, Blame] = {}
    for line in _find_lines(left_over, signals.rate_hz):
        blame = find_blame(line.covariance, chosen, thresholds.SHAKING_UV)
        limbs = set(blame.sources) <= set(LIMB_SOURCES)
        if blame.sources and limbs and blame.share >= thresholds.SHAKING_FIT[len(blame.sources)]:
            found |= {source: blame for source in blame.sources if source not in found}
    return _as_causes(signals, found, chosen, left_over)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Line:
    """A line in the spectrum; `covariance` in µV² of shape (lead, lead)."""

    covariance: FloatArray


def _find_lines(left_over: FloatArray, rate_hz: float) -> tuple[_Line, ...]:
    """At most two lines, which with their doubles hold most of the power."""
    taper = _make_taper(round(thresholds.SHAKING_STRETCH_S * rate_hz))
    length = len(taper)
    count = left_over.shape[1] // length
    stretches = left_over[:, : count * length].reshape(len(left_over), count, length)
    spectra = np.fft.rfft(stretches * taper, axis=2)[:, :, : round(20 * length / rate_hz)]
    hertz = np.arange(spectra.shape[2]) * rate_hz / length
    power = np.sum(spectra.real**2 + spectra.imag**2, axis=(0, 1))
    low_hz, high_hz = thresholds.SHAKING_AMONG_HZ
    whole = float(power[(hertz >= low_hz) & (hertz <= high_hz)].sum())
    scale = 2.0 / (length * float(taper @ taper) * count)
    covered = np.zeros(len(hertz), dtype=bool)
    lines = []
    for share in thresholds.SHAKING_SHARE:
        near, double = _highest(np.where(covered, 0.0, power), hertz)
        lines.append(near & ~covered)
        covered |= near | double
        if power[covered].sum() >= share * whole:
            return tuple(_as_line(spectra[:, :, line], scale) for line in lines)
    return ()


@lru_cache(maxsize=4)
def _make_taper(length: int) -> FloatArray:
    taper: FloatArray = np.hanning(length)
    taper.setflags(write=False)
    return taper


def _as_line(spectra: NDArray[np.complex128], scale: float) -> _Line:
    flat = spectra.reshape(len(spectra), -1)
    return _Line(covariance=(flat @ flat.conj().T).real * scale)


def _highest(power: FloatArray, hertz: FloatArray) -> tuple[BoolArray, BoolArray]:
    """What lies near the highest point of the range, and near its double."""
    low_hz, high_hz = thresholds.SHAKING_HZ
    line_hz = float(hertz[np.argmax(np.where((hertz >= low_hz) & (hertz <= high_hz), power, -1.0))])
    near = np.abs(hertz - line_hz) <= thresholds.SHAKING_HALF_WIDTH_HZ
    return near, np.abs(hertz - 2 * line_hz) <= 2 * thresholds.SHAKING_HALF_WIDTH_HZ


def _as_causes(
    signals: Signals, found: dict[str, Blame], chosen: tuple[str, ...], left_over: FloatArray
) -> tuple[Cause, ...]:
    if not found:
        return ()
    sources = list_sources(chosen)
    columns = source_weights(chosen)[:, [sources.index(each) for each in found]]
    courses = np.linalg.pinv(columns) @ left_over
    every = Selection.of(np.ones_like(signals.quiet), signals.window_samples)
    levels_uv = measure_moments(courses, every).rms_uv
    causes = []
    for (source, blame), in_windows_uv in zip(found.items(), np.nan_to_num(levels_uv), strict=True):
        line_uv = float(blame.source_rms_uv[blame.sources.index(source)])
        windows = in_windows_uv >= thresholds.TRACED_SHARE * line_uv
        lasts = windows.mean() >= thresholds.SHAKING_LASTS
        if line_uv >= thresholds.NOTICED_UV[FindingKind.LIMB_TREMOR] and lasts:
            rms_uv = float(np.sqrt(np.mean(in_windows_uv[windows] ** 2)))
            causes.append(_as_cause(signals, blame, source, rms_uv, windows))
    return tuple(causes)


def _as_cause(
    signals: Signals, blame: Blame, source: str, rms_uv: float, windows: BoolArray
) -> Cause:
    column = list_sources(signals.leads).index(source)
    reach_uv = np.abs(source_weights(signals.leads)[:, column]) * rms_uv
    order = [
        row
        for row in np.argsort(-reach_uv, kind="stable")
        if reach_uv[row] >= thresholds.TOUCHED_SHARE * rms_uv
    ]
    return Cause(
        kind=FindingKind.LIMB_TREMOR,
        electrodes=(Electrode(source),),
        leads=tuple(signals.leads[row] for row in order),
        lead_levels_uv=tuple(float(reach_uv[row]) for row in order),
        level_uv=rms_uv,
        weight=rms_uv / thresholds.NOTICED_UV[FindingKind.LIMB_TREMOR],
        confidence=float(np.clip(blame.confidence, 0.0, 1.0)),
        fit=blame.share,
        blamed=len(blame.sources),
        windows=windows,
        spans_s=signals.spans(windows),
    )
