from __future__ import annotations

import numpy as np
from scipy.stats import kstest

from couchside.simulate.chance import Chance


def test_noise_is_white_and_of_unit_variance() -> None:
    noise = Chance(1, "noise").noise(4, 20_000)
    assert np.abs(noise.mean(axis=1)).max() < 0.03
    assert np.abs(noise.std(axis=1) - 1.0).max() < 0.02
    assert np.abs(np.corrcoef(noise) - np.eye(4)).max() < 0.03
    assert abs(np.corrcoef(noise[0, 1:], noise[0, :-1])[0, 1]) < 0.03


def test_numbers_follow_their_distributions() -> None:
    """Kolmogorov–Smirnov at one in a thousand, on a fixed seed."""
    chance = Chance(2, "numbers")
    assert kstest(chance.uniforms(5000), "uniform").pvalue > 0.001
    assert kstest(chance.normals(5000), "norm").pvalue > 0.001


def test_another_purpose_is_another_stream() -> None:
    first, second = Chance(3, "rhythm").uniforms(5), Chance(3, "beats").uniforms(5)
    assert not np.array_equal(first, second)
    np.testing.assert_array_equal(first, Chance(3, "rhythm").uniforms(5))
