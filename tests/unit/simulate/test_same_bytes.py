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
    "good": "6e3aa49be86d1aa2",
    "loose-left-arm": "ff7f7cc12ddc313a",
    "muscle-tremor": "5ba8bf1f3a78ba19",
    "irregular-rhythm": "c91afd919f4fae0d",
    "paced": "e72c88b3cc22435b",
    "newborn": "e378cfe51f336e01",
    "dry-right-leg": "8758501709453016",
    "coarse-steps": "d39bd2b292f88594",
}


@pytest.mark.parametrize("name", sorted(DIGESTS))
def test_a_scenario_gives_the_samples_it_always_gave(name: str) -> None:
    samples = simulate(get_scenario(name)).recording.microvolts.astype("<f8")
    assert hashlib.sha256(samples.tobytes()).hexdigest()[:16] == DIGESTS[name]
