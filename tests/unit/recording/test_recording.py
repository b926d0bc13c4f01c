from __future__ import annotations

import numpy as np
import pytest

from couchside.errors import InvalidInput
from couchside.recording import MAX_LEADS, Recording


def test_keeps_its_own_read_only_copy_of_the_samples() -> None:
    samples = np.zeros((2, 4))
    recording = Recording(leads=("I", "II"), microvolts=samples, rate_hz=500)
    samples[0, 0] = 99.0
    assert recording.microvolts[0, 0] == 0.0
    with pytest.raises(ValueError, match="read-only"):
        recording.microvolts[0, 0] = 1.0


def test_tells_length_and_leads() -> None:
    recording = Recording(leads=("I", "V1"), microvolts=np.ones((2, 1000)), rate_hz=500)
    assert recording.sample_count == 1000
    assert recording.duration_s == 2.0
    assert recording.has_lead("V1")
    assert not recording.has_lead("V2")
    assert recording.get_lead("V1").shape == (1000,)


def test_asking_for_a_lead_that_is_not_there_names_those_that_are() -> None:
    recording = Recording(leads=("I",), microvolts=np.ones((1, 10)), rate_hz=500)
    with pytest.raises(InvalidInput, match="no lead V9; the leads are I"):
        recording.get_lead("V9")


@pytest.mark.parametrize(
    ("leads", "shape", "rate_hz", "sentence"),
    [
        ((), (0, 10), 500, "0 leads were given"),
        (tuple(f"x{i}" for i in range(MAX_LEADS + 1)), (19, 10), 500, "19 leads were given"),
        (("I", "I"), (2, 10), 500, "lead I stands more than once"),
        (("I", "II"), (3, 10), 500, "do not fit 2 leads"),
        (("I",), (1, 0), 500, "no samples"),
        (("I",), (1, 10), 0, "rate of 0 Hz cannot be"),
        (("I",), (1, 10), float("nan"), "rate of nan Hz cannot be"),
    ],
)
def test_refuses_what_cannot_be(
    leads: tuple[str, ...], shape: tuple[int, int], rate_hz: float, sentence: str
) -> None:
    with pytest.raises(InvalidInput, match=sentence):
        Recording(leads=leads, microvolts=np.zeros(shape), rate_hz=rate_hz)


def test_missing_samples_may_be_nan_but_never_infinite() -> None:
    samples = np.zeros((1, 3))
    samples[0, 1] = np.nan
    assert np.isnan(Recording(leads=("I",), microvolts=samples, rate_hz=1).microvolts[0, 1])
    samples[0, 1] = np.inf
    with pytest.raises(InvalidInput, match="infinite"):
        Recording(leads=("I",), microvolts=samples, rate_hz=1)
