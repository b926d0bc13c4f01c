"""WFDB records to and from the wfdb package, in every storage format that is read."""

from __future__ import annotations

import warnings
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from couchside.formats import read, write_wfdb
from couchside.recording import Recording
from couchside.simulate import get_scenario, simulate

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # wfdb uses what pandas has deprecated
    import wfdb

pytestmark = pytest.mark.filterwarnings("ignore:The inplace keyword")  # in wfdb's use of pandas

BITS = {"16": 16, "24": 24, "32": 32, "80": 8, "212": 12}
"""Formats that the package writes, and how wide their numbers are; 61 it only reads."""


def numbers(bits: int) -> NDArray[np.int64]:
    """Both ends of the range, and whatever lies between, shape (sample, lead)."""
    generator = np.random.default_rng(7)
    limit = 2 ** (bits - 1) - 1
    samples = generator.integers(-limit, limit, size=(501, 3), endpoint=True)
    samples[0] = [limit, -limit, 0]
    return samples


@pytest.mark.parametrize("storage", sorted(BITS))
def test_reads_what_the_package_writes(storage: str, tmp_path: Path) -> None:
    samples = numbers(BITS[storage])
    wfdb.wrsamp(
        "r",
        fs=257,
        units=["mV", "uV", "mV"],
        sig_name=["I", "V2", "aVF"],
        d_signal=samples,
        fmt=[storage] * 3,
        adc_gain=[200.0, 3.5, 1000.0],
        baseline=[0, 7, -3],
        comments=["age: 41", "sex: F"],
        write_dir=str(tmp_path),
    )
    recording = read(tmp_path / "r.hea")
    steps_uv = np.array([5.0, 1 / 3.5, 1.0])
    expected = (samples - np.array([0, 7, -3])) * steps_uv
    np.testing.assert_allclose(recording.microvolts, expected.T, rtol=1e-12, atol=1e-9)
    assert recording.leads == ("I", "V2", "aVF")
    assert recording.rate_hz == 257
    assert recording.patient.stated_age_years == 41


def test_the_package_reads_what_is_written(tmp_path: Path) -> None:
    recording = simulate(get_scenario("good")).recording
    back = read_with_package(recording, tmp_path)
    step_mv = (recording.settings.resolution_uv or 1.0) / 1000
    np.testing.assert_allclose(
        back.p_signal.T, recording.microvolts / 1000, rtol=0, atol=step_mv / 2 * (1 + 1e-9)
    )
    assert tuple(back.sig_name) == recording.leads
    assert back.fs == recording.rate_hz
    sums = back.d_signal.sum(axis=0) % 65_536
    np.testing.assert_array_equal(sums, np.array(back.checksum) % 65_536)


def test_the_package_sees_missing_samples(tmp_path: Path) -> None:
    gap = np.zeros((2, 50))
    gap[1, 10:20] = np.nan
    recording = Recording(leads=("I", "II"), microvolts=gap, rate_hz=500.0)
    missing = np.isnan(read_with_package(recording, tmp_path).p_signal.T)
    np.testing.assert_array_equal(missing, np.isnan(gap))


def read_with_package(recording: Recording, folder: Path) -> wfdb.Record:
    for file in write_wfdb(recording, "w").files:
        (folder / file.name).write_bytes(file.content)
    record = wfdb.rdrecord(str(folder / "w"), physical=False)
    checked = wfdb.rdrecord(str(folder / "w"), physical=True)
    checked.d_signal = record.d_signal
    return checked
