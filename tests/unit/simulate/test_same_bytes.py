"""The same scenario gives the same samples on every machine.

The digests were made once by this test's own expression and found equal with NumPy 2.4.6 and SciPy
1.17.1 on Python 3.11 and with NumPy 2.1.3 and SciPy 1.14.1 on Python 3.13, with NumPy's vector
instructions on and off, and with three kernels of OpenBLAS. They change only when the simulation is
changed on purpose.
"""

from __future__ import annotations

import hashlib

import pytest

from couchside.simulate import get_scenario, simulate

DIGESTS = {
    "good": "803a2bf17cab0a55",
    "loose-left-arm": "867af633b8336a33",
    "muscle-tremor": "ee845791d51d1928",
    "irregular-rhythm": "8b49ca9247268516",
    "paced": "36748ee716f38467",
    "newborn": "3f7be0ffade2c41a",
    "dry-right-leg": "3be6f0490b4a828d",
    "coarse-steps": "84b31a3cf8381fa5",
}


@pytest.mark.parametrize("name", sorted(DIGESTS))
def test_a_scenario_gives_the_samples_it_always_gave(name: str) -> None:
    samples = simulate(get_scenario(name)).recording.microvolts.astype("<f8")
    assert hashlib.sha256(samples.tobytes()).hexdigest()[:16] == DIGESTS[name]
