from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from couchside.simulate import get_scenario, simulate
from couchside.waves import delineate

WriteEcg = Callable[..., Any]


@pytest.mark.parametrize("rate_hz", [250.0, 500.0, 1000.0])
def test_it_is_the_written_beat_at_the_recorded_rate(write_ecg: WriteEcg, rate_hz: float) -> None:
    written = write_ecg(rate_hz=rate_hz, noise_uv=20.0)
    beat = delineate(written.recording).representative
    assert beat is not None
    assert beat.rate_hz == rate_hz
    assert beat.beat_count == written.beats_s.shape[0]
    peak = beat.microvolts[:, beat.fiducial_sample - 3 : beat.fiducial_sample + 4]
    factors = np.array([1.0, 0.8, -0.4, -0.9, 0.6, 0.5, -0.5, 0.7, 1.2, 1.4, 1.1, 0.9])
    # Beats lie upon each other to half a sample at 250 Hz: the tip of a triangle of 45 ms loses
    # up to 4.5 %; the rest is the noise that averaging leaves.
    assert np.abs(peak).max(axis=1) == pytest.approx(1000.0 * np.abs(factors), rel=0.07, abs=15.0)


def test_its_level_before_the_qrs_is_zero(write_ecg: WriteEcg) -> None:
    written = write_ecg()
    shifted = replace(written.recording, microvolts=written.recording.microvolts + 3000.0)
    beat = delineate(shifted).representative
    assert beat is not None
    onset = round(beat.overall.qrs_onset)
    assert np.abs(beat.microvolts[:, onset - 6 : onset].mean(axis=1)).max() < 2.0


def test_its_residual_is_the_noise(write_ecg: WriteEcg) -> None:
    beat = delineate(write_ecg(noise_uv=20.0).recording).representative
    assert beat is not None
    # The tips of beats that do not lie upon each other to the sample add to the 20 µV of noise.
    assert beat.residual_rms_uv == pytest.approx(20.0, rel=0.25)


def test_its_boundaries_agree_with_those_of_the_beats(write_ecg: WriteEcg) -> None:
    waves = delineate(write_ecg().recording)
    beat = waves.representative
    assert beat is not None
    for single, whole in ((waves.p, beat.p), (waves.qrs, beat.qrs), (waves.t, beat.t)):
        from_beat = np.nanmedian(single.onset - waves.beat_samples, axis=1)
        # Each beat may be moved by a sample or two against the average.
        assert whole.onset - beat.fiducial_sample == pytest.approx(from_beat, abs=2.5)


def test_slow_wander_leaves_it_alone(write_ecg: WriteEcg) -> None:
    written = write_ecg()
    times_s = np.arange(written.recording.sample_count) / 500.0
    wander = 1000.0 * np.sin(2 * np.pi * 0.15 * times_s)
    plain = delineate(written.recording).representative
    swaying = delineate(
        replace(written.recording, microvolts=written.recording.microvolts + wander)
    ).representative
    assert plain is not None
    assert swaying is not None
    around = slice(plain.fiducial_sample - 60, plain.fiducial_sample + 100)
    difference = (swaying.microvolts - plain.microvolts)[:, around]
    # 1 mV of wander at 0.15 Hz leaves 2 % behind the filter, its slope a few µV over 300 ms.
    assert np.abs(difference).max() < 12.0


def test_each_further_group_has_its_own() -> None:
    """Early beats from the ventricles: wider than the others, and averaged by themselves."""
    recording = simulate(get_scenario("early-ventricular-beats")).recording
    waves = delineate(recording)
    (early,) = waves.others
    leading = waves.representative
    assert leading is not None
    members = waves.beat_samples[waves.beat_groups == early.group]
    assert (leading.group, early.group, early.beat_count) == (0, 1, members.shape[0])
    widths = [each.overall.qrs_offset - each.overall.qrs_onset for each in (leading, early)]
    assert widths[1] > 1.2 * widths[0]
    reach = np.arange(-20, 21)
    own = recording.microvolts[:, members[:, None] + reach].mean(axis=1)
    drawn = early.microvolts[:, early.fiducial_sample + reach]
    assert np.corrcoef(own.ravel(), drawn.ravel())[0, 1] > 0.99


def test_a_beat_like_no_other_has_none(write_ecg: WriteEcg) -> None:
    assert delineate(write_ecg().recording).others == ()
