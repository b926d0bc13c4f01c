from __future__ import annotations

import gc
from dataclasses import replace
from weakref import ref

import numpy as np
import pytest
from tests.unit.waves.conftest import FloatArray, WriteEcg

from couchside.recording import Recording, get_lead_matrix
from couchside.simulate import get_scenario, random_scenario, simulate
from couchside.waves import delineate
from couchside.waves.pacing import bridge_spikes, find_pacing_spikes, find_spikes

DIPOLE = np.array((0.6, 1.0, -0.4, -0.8, 0.1, 0.8, 0.7, -0.5, 0.6, 0.9, 0.7, -0.6))


def _with_spikes(
    recording: Recording, at_s: FloatArray, *, uv: float = 800.0, width: int = 2
) -> Recording:
    microvolts = recording.microvolts.copy()
    for place in np.rint(at_s * recording.rate_hz).astype(int):
        microvolts[:, place : place + width] += uv * DIPOLE[: microvolts.shape[0], None]
    return replace(recording, microvolts=microvolts)


@pytest.mark.parametrize("rate_hz", [250.0, 500.0, 1000.0])
def test_spikes_before_the_qrs_pace_wherever_they_are_sampled(
    write_ecg: WriteEcg, rate_hz: float
) -> None:
    written = write_ecg(rate_hz=rate_hz)
    at_s = written.beats_s - 0.060
    paced = _with_spikes(written.recording, at_s)

    spikes = find_pacing_spikes(paced, delineate(paced))

    assert spikes.count == at_s.size
    np.testing.assert_allclose(spikes.samples / rate_hz, at_s, atol=0.004)
    assert (spikes.starts <= spikes.samples).all()
    assert (spikes.stops > spikes.samples).all()
    along = DIPOLE @ spikes.sizes_uv / np.linalg.norm(DIPOLE)
    assert (along > 0.9 * np.linalg.norm(spikes.sizes_uv, axis=0)).all()


def test_spikes_before_the_atria_and_the_ventricles_pace_both(write_ecg: WriteEcg) -> None:
    written = write_ecg()
    at_s = np.concatenate((written.beats_s - 0.190, written.beats_s - 0.060))
    paced = _with_spikes(written.recording, at_s)

    assert find_pacing_spikes(paced, delineate(paced)).count == at_s.size


def test_a_spike_moves_no_boundary(write_ecg: WriteEcg) -> None:
    written = write_ecg()
    paced = _with_spikes(written.recording, written.beats_s - 0.060)

    plain, with_spikes = delineate(written.recording), delineate(paced)

    assert plain.representative is not None
    assert with_spikes.representative is not None
    for name in ("p_onset", "p_offset", "qrs_onset", "qrs_offset", "t_offset"):
        before = getattr(plain.representative.overall, name)
        assert getattr(with_spikes.representative.overall, name) == pytest.approx(before, abs=2.0)


def test_the_spikes_of_a_simulated_pacemaker_are_found() -> None:
    simulation = simulate(get_scenario("paced"))
    recording = simulation.recording

    spikes = find_pacing_spikes(recording, delineate(recording))

    onsets = simulation.truth.overall.qrs_onset
    inside = onsets[(onsets > 20) & (onsets < recording.sample_count - 20)]
    distance_ms = np.abs(inside[:, None] - spikes.samples).min(axis=1) * 1000 / recording.rate_hz
    assert (distance_ms < 20.0).mean() > 0.9


def test_no_person_at_rest_seems_paced() -> None:
    for seed in range(12):
        recording = simulate(random_scenario(seed)).recording
        assert find_pacing_spikes(recording, delineate(recording)).count in (0, *_paced(seed))


def _paced(seed: int) -> range:
    """Some of the random adults have a pacemaker."""
    return range(200) if random_scenario(seed).state.rhythm == "ventricular paced" else range(0)


def test_a_narrow_qrs_at_a_newborns_rate_is_no_spike(write_ecg: WriteEcg) -> None:
    written = write_ecg(rr_s=0.36, qrs_uv=2500.0)
    assert find_spikes(written.recording).count == 0


def test_pops_that_come_at_any_time_do_not_pace(write_ecg: WriteEcg) -> None:
    written = write_ecg()
    at_s = np.sort(np.random.default_rng(3).uniform(0.5, 9.5, 8))
    popped = _with_spikes(written.recording, at_s)

    assert find_spikes(popped).count == 8
    assert find_pacing_spikes(popped, delineate(popped)).count == 0


def test_a_step_or_a_glitch_of_one_lead_is_no_spike(write_ecg: WriteEcg) -> None:
    recording = write_ecg(noise_uv=0.0).recording
    matrix = get_lead_matrix(recording.leads)
    stepped = recording.microvolts.copy()
    stepped[:, 2600:] += 900.0 * matrix[:, :1]
    stepped[6, 1111] += 3000.0

    assert find_spikes(replace(recording, microvolts=stepped)).count == 0


def test_a_slow_recording_tells_no_spikes(write_ecg: WriteEcg) -> None:
    written = write_ecg(rate_hz=100.0)
    paced = _with_spikes(written.recording, written.beats_s - 0.060, width=1)
    assert find_spikes(paced).count == 0


def test_missing_samples_hide_no_spike(write_ecg: WriteEcg) -> None:
    written = write_ecg()
    paced = _with_spikes(written.recording, written.beats_s - 0.060)
    gaps = paced.microvolts.copy()
    gaps[3] = np.nan
    gaps[:, 3000:3050] = np.nan

    spikes = find_pacing_spikes(replace(paced, microvolts=gaps), delineate(paced))

    assert spikes.count >= written.beats_s.size - 1


def test_bridging_leaves_the_rest_as_it_was(write_ecg: WriteEcg) -> None:
    written = write_ecg()
    paced = _with_spikes(written.recording, written.beats_s - 0.060)
    spikes = find_spikes(paced)

    bridged = bridge_spikes(paced, spikes)

    touched = np.zeros(paced.sample_count, dtype=bool)
    for start, stop in zip(spikes.starts, spikes.stops, strict=True):
        touched[start:stop] = True
    np.testing.assert_array_equal(bridged.microvolts[:, ~touched], paced.microvolts[:, ~touched])
    assert np.abs(bridged.microvolts - written.recording.microvolts).max() < 60.0
    assert bridge_spikes(written.recording, find_spikes(written.recording)) is written.recording


def test_a_recording_is_not_kept_for_the_sake_of_its_spikes() -> None:
    recording = Recording(leads=("II",), microvolts=np.zeros((1, 1000)), rate_hz=500.0)
    at_hand = ref(recording)
    assert find_spikes(recording) is find_spikes(recording)

    del recording
    gc.collect()

    assert at_hand() is None
