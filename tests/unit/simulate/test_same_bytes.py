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
    "good": "4f00790e711efca9",
    "loose-left-arm": "92433ec8f6cdb169",
    "muscle-tremor": "5e1f33c078cdf815",
    "irregular-rhythm": "c91afd919f4fae0d",
    "paced": "f891867db20cfe82",
    "newborn": "9cbc499988455b89",
    "dry-right-leg": "03cccc485719c690",
    "coarse-steps": "3ce62946f3099855",
}


@pytest.mark.parametrize("name", sorted(DIGESTS))
def test_a_scenario_gives_the_samples_it_always_gave(name: str) -> None:
    samples = simulate(get_scenario(name)).recording.microvolts.astype("<f8")
    assert hashlib.sha256(samples.tobytes()).hexdigest()[:16] == DIGESTS[name]
