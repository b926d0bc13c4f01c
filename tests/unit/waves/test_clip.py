"""Values held between two bounds, against NumPy."""

from __future__ import annotations

import numpy as np
import pytest

from couchside.waves.clip import clip


@pytest.mark.parametrize("values", [np.array([-3, 0, 2, 9]), np.array([-0.5, 1.5, np.nan, np.inf])])
def test_values_are_held_as_numpy_holds_them(values: np.ndarray) -> None:
    for least, most in ((0, 2), (1, 1), (3, 1)):
        np.testing.assert_array_equal(clip(values, least, most), np.clip(values, least, most))
