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
    "good": "59d8410d6006ffaa",
    "loose-left-arm": "9864248ae4b599b7",
    "muscle-tremor": "ff0da372c7fdc7ef",
    "irregular-rhythm": "114d2bd84c0a8800",
    "paced": "e6f690cffd005771",
    "newborn": "2dfce3722e332bb3",
    "dry-right-leg": "16efc0e0cea17b80",
    "coarse-steps": "45585a38dec9f67e",
}


@pytest.mark.parametrize("name", sorted(DIGESTS))
def test_a_scenario_gives_the_samples_it_always_gave(name: str) -> None:
    samples = simulate(get_scenario(name)).recording.microvolts.astype("<f8")
    assert hashlib.sha256(samples.tobytes()).hexdigest()[:16] == DIGESTS[name]
