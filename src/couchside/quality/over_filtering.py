"""A low-pass filter of about 40 Hz seen in the signal, whatever the file says.

The steep parts of a QRS and the noise of skin, muscle and amplifier reach beyond 100 Hz in every
recording; a filter takes both away above its edge. So two things are looked at: how far the whole
signal falls from below the edge to above it, and the mean frequency of what is left between the
beats. A slow, wide QRS has the first by nature, but not the second.
"""

from __future__ import annotations

from math import inf

import numpy as np

from couchside.quality import thresholds
from couchside.quality.model import Band, Finding, FindingKind, Hidden, Reading, Verdict
from couchside.quality.signals import Signals
from couchside.recording import AcquisitionSettings
from couchside.waves.medians import median_of_rows


def check_over_filtering(signals: Signals, settings: AcquisitionSettings) -> tuple[Finding, ...]:
    """At most one remark; none where the file itself states so low an edge.

    Parameters
    ----------
    signals : Signals
        The recording; with fewer than 200 samples a second nothing is said.
    settings : AcquisitionSettings
        What the file states.
    """
    stated_hz = settings.low_pass_hz
    if stated_hz is not None and stated_hz <= thresholds.STRONG_LOW_PASS_HZ:
        return ()
    fall_db = measure_fall_db(signals)
    return (_word(fall_db, stated_hz),) if seems_low_passed(signals, fall_db) else ()


def seems_low_passed(signals: Signals, fall_db: float) -> bool:
    """Whether a filter of about 40 Hz, or of less, was on.

    Parameters
    ----------
    signals : Signals
    fall_db : float
        From `measure_fall_db`. The noise is only looked at where the fall is deep.
    """
    bounds = [hz for deepest_db, hz in thresholds.FILTERED_SIGNS if fall_db < deepest_db]
    return bool(bounds) and measure_noise_hz(signals) < max(bounds)


def measure_fall_db(signals: Signals) -> float:
    """Power density at 70-95 Hz over that at 25-35 Hz, dB, in the middle lead of all.

    Infinity where no lead carries a signal or the spectrum ends below.
    """
    ratios = signals.high_over_low[np.isfinite(signals.high_over_low)]
    return 10.0 * float(np.log10(max(float(median_of_rows(ratios)), _TINY))) if ratios.size else inf


def measure_noise_hz(signals: Signals) -> float:
    """Root mean square frequency of what lies above some 20 Hz between the beats, middle lead.

    Of a sine it is its frequency: rms of the rate of change over rms, less the factor of 2π.
    Infinity where nothing is left between the beats.
    """
    noise = signals.noise[Band.MUSCLE]
    between = signals.quiet[1:] & signals.quiet[:-1]
    power = np.square(noise[:, 1:]) @ between
    change = np.square(np.diff(noise, axis=1)) @ between
    whole = power > _TINY
    if not whole.any():
        return inf
    ratio = float(median_of_rows(change[whole] / power[whole]))
    return float(signals.rate_hz * np.sqrt(ratio) / (2.0 * np.pi))


def _word(fall_db: float, stated_hz: float | None) -> Finding:
    stated = "does not state it" if stated_hz is None else f"states {stated_hz:g} Hz"
    return Finding(
        kind=FindingKind.FILTER,
        asks=Verdict.KEEP_WITH_REMARK,
        sentence=(
            "A low-pass filter of about 40 Hz seems to have been on, though the file "
            f"{stated}: next to nothing is left of what is faster."
        ),
        remedy=f"Set the low-pass filter to {thresholds.LOW_PASS_HZ:g} Hz.",
        confidence=thresholds.FILTERED_CONFIDENCE,
        figures={"high_frequency_db": fall_db},
        hides=(Hidden(what=Reading.VOLTAGES),),
    )


_TINY = 1e-9
