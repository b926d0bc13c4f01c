from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from couchside.errors import InvalidInput
from couchside.formats import read
from couchside.recording import Electrode
from couchside.simulate import Fault, FaultKind, RecordedNoise, Scenario, random_scenario, simulate


def _noisy(electrode: Electrode, snr_db: float) -> Scenario:
    fault = Fault(kind=FaultKind.RECORDED, electrode=electrode, noise_name="em", snr_db=snr_db)
    return replace(random_scenario(3), faults=(fault,))


@pytest.mark.parametrize(
    ("electrode", "leads"), [(Electrode.C4, ("V4",)), (Electrode.RA, ("I", "II", "aVR"))]
)
@pytest.mark.parametrize("snr_db", [-6.0, 0.0, 12.0])
def test_the_ratio_is_kept_in_the_leads_that_carry_the_electrode(
    electrode: Electrode, leads: tuple[str, ...], snr_db: float
) -> None:
    white = np.random.default_rng(1).normal(0.0, 3.0, 20_000)
    noises = {"em": RecordedNoise(microvolts=white, rate_hz=360.0)}
    noisy, quiet = simulate(_noisy(electrode, snr_db), noises), simulate(random_scenario(3))
    rows = [noisy.recording.leads.index(lead) for lead in leads]
    wide = noisy.truth.clean_microvolts[rows].var(axis=1).mean()
    added = noisy.recording.microvolts[rows] - quiet.recording.microvolts[rows]
    measured = 10.0 * np.log10(wide / added.var(axis=1).mean())
    assert measured == pytest.approx(snr_db, abs=1.2)


def test_the_low_pass_alone_explains_the_difference() -> None:
    """Slow noise passes the recorder whole, so that the ratio is met within 0.1 dB."""
    slow = np.sin(np.linspace(0.0, 40.0 * 2.0 * np.pi, 20_000) ** 1.01)
    noises = {"em": RecordedNoise(microvolts=slow, rate_hz=360.0)}
    noisy, quiet = simulate(_noisy(Electrode.C4, 0.0), noises), simulate(random_scenario(3))
    row = noisy.recording.leads.index("V4")
    added = noisy.recording.microvolts[row] - quiet.recording.microvolts[row]
    ratio = 10.0 * np.log10(noisy.truth.clean_microvolts[row].var() / added.var())
    assert ratio == pytest.approx(0.0, abs=0.1)


def test_noise_that_is_not_given_is_asked_for() -> None:
    with pytest.raises(InvalidInput, match="'em'; given were: none"):
        simulate(_noisy(Electrode.C4, 0.0))


def test_noise_at_the_right_leg_enters_no_lead() -> None:
    noises = {"em": RecordedNoise(microvolts=np.arange(9000.0), rate_hz=360.0)}
    with pytest.raises(InvalidInput, match="enters no lead"):
        simulate(_noisy(Electrode.RL, 0.0), noises)


@pytest.mark.parametrize("noise", [np.zeros(9000), np.ones(10)])
def test_flat_or_short_noise_is_refused(noise: np.ndarray) -> None:
    with pytest.raises(InvalidInput, match="recorded noise is"):
        simulate(_noisy(Electrode.C4, 0.0), {"em": RecordedNoise(microvolts=noise, rate_hz=360.0)})


@pytest.mark.data
@pytest.mark.parametrize("name", ["bw", "em", "ma"])
def test_the_open_noise_records_mix_in(name: str, open_data: Path) -> None:
    channel = read(open_data / "nstdb" / f"{name}.hea")
    noises = {"em": RecordedNoise(microvolts=channel.microvolts[0], rate_hz=channel.rate_hz)}
    noisy = simulate(_noisy(Electrode.LA, 0.0), noises).recording
    quiet = simulate(random_scenario(3)).recording
    added = noisy.microvolts - quiet.microvolts
    assert np.abs(added[noisy.leads.index("II")]).max() == 0.0
    assert added[noisy.leads.index("I")].std() > 30.0
