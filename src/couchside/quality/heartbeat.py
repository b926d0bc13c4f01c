"""Is there a heart in it, and is its size believable."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.model import Finding, FindingKind, Hidden, Reading, Verdict
from couchside.quality.wording import say_microvolts
from couchside.recording import Recording
from couchside.waves.medians import median_of_rows
from couchside.waves.model import Waves

FloatArray = NDArray[np.float64]


def check_heartbeat(
    recording: Recording, waves: Waves, lost_leads: Iterable[str]
) -> tuple[Finding, ...]:
    """No heartbeat found, or a QRS of absurd size; none where both are as they should be.

    Parameters
    ----------
    recording : Recording
        For its length.
    waves : Waves
        With the beats and the representative one.
    lost_leads : iterable of str
        Leads without a signal at some time: driven to their limit and back, they say nothing
        about the gain.
    """
    if waves.beat_count < thresholds.FEWEST_BEATS:
        return (_no_heartbeat(recording, waves),)
    return _check_amplitude(waves, frozenset(lost_leads))


def _no_heartbeat(recording: Recording, waves: Waves) -> Finding:
    return Finding(
        kind=FindingKind.NO_HEARTBEAT,
        asks=Verdict.RECORD_AGAIN,
        sentence=(
            f"No regular heartbeat was found in {recording.duration_s:.3g} s of recording; "
            "look at the person first."
        ),
        remedy="See that the person is well, check electrodes and cable, then record again.",
        confidence=0.9,
        figures={"beats": float(waves.beat_count)},
        hides=(Hidden(what=Reading.RHYTHM),),
    )


def _check_amplitude(waves: Waves, lost_leads: frozenset[str]) -> tuple[Finding, ...]:
    beat = waves.representative
    if beat is None:
        return ()
    rows = [row for row, name in enumerate(beat.leads) if name not in lost_leads]
    microvolts = beat.microvolts[rows]
    if not np.isfinite(microvolts).any():
        return ()
    heights_uv = np.nan_to_num(_find_heights_uv(microvolts))
    largest_uv, usual_uv = float(heights_uv.max()), float(median_of_rows(heights_uv))
    if largest_uv >= thresholds.SMALLEST_QRS_UV and usual_uv <= thresholds.LARGEST_USUAL_QRS_UV:
        return ()
    if usual_uv < thresholds.BEAT_OVER_RESIDUAL * float(np.nanmedian(beat.residual_rms_uv[rows])):
        return ()
    size = "small" if largest_uv < thresholds.SMALLEST_QRS_UV else "large"
    return (
        Finding(
            kind=FindingKind.AMPLITUDE,
            asks=Verdict.RECORD_AGAIN,
            sentence=(
                f"The beats are too {size} to be true, {say_microvolts(largest_uv)} at most; "
                "the gain or the unit is probably wrong."
            ),
            remedy="Check the recorder's gain and the unit of the file, then record again.",
            confidence=0.9,
            leads=(beat.leads[rows[int(np.argmax(heights_uv))]],),
            figures={"largest_beat_uv": largest_uv},
            hides=(Hidden(what=Reading.VOLTAGES),),
        ),
    )


def _find_heights_uv(microvolts: FloatArray) -> FloatArray:
    """From one percentile of each lead to the other, shape (lead,)."""
    ordered = np.sort(microvolts, axis=1)
    shares = np.array(thresholds.HEIGHT_PERCENTILES) / 100.0
    places = shares * (microvolts.shape[1] - 1)
    below = places.astype(np.int64)
    first, second = ordered[:, below], ordered[:, np.minimum(below + 1, ordered.shape[1] - 1)]
    ends = first + (places - below) * (second - first)
    heights_uv: FloatArray = ends[:, 1] - ends[:, 0]
    return heights_uv
