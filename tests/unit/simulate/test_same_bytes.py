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
    "good": "c619010f8395f167",
    "loose-left-arm": "7d6c7cfeab6b3bd5",
    "muscle-tremor": "6a35d6ac3f02ec62",
    "irregular-rhythm": "f37908a46ba7459e",
    "paced": "f891867db20cfe82",
    "newborn": "91e71be9c3f6398c",
    "dry-right-leg": "2ab96762813b9db2",
    "coarse-steps": "3c66b07cfbd45c36",
}


@pytest.mark.parametrize("name", sorted(DIGESTS))
def test_a_scenario_gives_the_samples_it_always_gave(name: str) -> None:
    samples = simulate(get_scenario(name)).recording.microvolts.astype("<f8")
    assert hashlib.sha256(samples.tobytes()).hexdigest()[:16] == DIGESTS[name]
