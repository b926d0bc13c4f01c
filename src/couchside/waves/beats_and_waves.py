"""From a recording to beats, and to boundaries on the averages of bundles."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from couchside.recording import Recording
from couchside.waves.bundle_waves import BundleWaves, find_bundle_waves
from couchside.waves.bundles import make_bundles
from couchside.waves.detect import detect_beats
from couchside.waves.filters import (
    ANALYSIS_RATE_HZ,
    Passband,
    band,
    band_as_recorded,
    transform,
)
from couchside.waves.group import group_beats
from couchside.waves.model import FloatArray, IntArray
from couchside.waves.pacing import bridge_spikes, find_spikes

WITHOUT_WANDER = Passband(above_hz=0.4)
"""Half amplitude, zero phase: below the 0.67 Hz that [AHA2007-I] allows a filter without phase
shift."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BeatsAndWaves:
    """What delineation knows before it is put into samples of the recording.

    Parameters
    ----------
    beats, groups : integer arrays of shape (beat,)
        Aligned detection points at the analysis rate, and their groups.
    exact_beats : array of shape (beat,)
        The same points with fractions of samples.
    bundles : list of integer array
        Beats that were averaged together.
    waves : BundleWaves
        Boundaries on those averages.
    usable : integer array
        The leads for which they stand.
    clean : array of shape (lead, sample)
        The recording without spikes and wander, in µV at its own rate.
    step : float
        Recorded samples for each sample at the analysis rate.
    """

    beats: IntArray
    groups: IntArray
    exact_beats: FloatArray
    bundles: list[IntArray]
    waves: BundleWaves
    usable: IntArray
    clean: FloatArray
    step: float


def find_beats_and_waves(recording: Recording) -> BeatsAndWaves | None:
    """Bridge pacing spikes, detect, group, average, and find boundaries.

    Parameters
    ----------
    recording : Recording
        1 to 18 leads, 100 to 2000 Hz, of any length; NaN marks missing samples.

    Returns
    -------
    BeatsAndWaves or None
        None where there are no beats.
    """
    spectrum = transform(bridge_spikes(recording, find_spikes(recording)))
    detection = detect_beats(spectrum)
    weights = detection.lead_weights
    if detection.beats.shape[0] == 0:
        return None
    grouping = group_beats(spectrum, detection.lead_scales_uv, weights, detection.beats)
    bundles = make_bundles(grouping.beats, grouping.groups, ANALYSIS_RATE_HZ)
    clean = band(spectrum, WITHOUT_WANDER)
    usable = np.flatnonzero(weights > 0)
    return BeatsAndWaves(
        beats=grouping.beats,
        groups=grouping.groups,
        exact_beats=grouping.exact_beats,
        bundles=bundles,
        waves=find_bundle_waves(clean[usable], weights[usable], grouping.beats, bundles),
        usable=usable,
        clean=clean if spectrum.step == 1.0 else band_as_recorded(spectrum, WITHOUT_WANDER),
        step=spectrum.step,
    )
