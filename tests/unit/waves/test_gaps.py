"""Missing samples left out, or bridged."""

from __future__ import annotations

import numpy as np

from couchside.waves.gaps import bridge_gaps, where_whole

NAN = np.nan
LEADS = np.array([[1.0, 2.0, 3.0, 4.0], [1.0, NAN, NAN, 7.0], [NAN, NAN, NAN, NAN]])


def test_samples_that_any_lead_lacks_are_left_out() -> None:
    np.testing.assert_array_equal(where_whole(LEADS[:2]), [[1.0, 4.0], [1.0, 7.0]])


def test_a_gap_is_bridged_in_its_own_lead_and_a_lead_without_samples_is_0() -> None:
    bridged = bridge_gaps(LEADS, np.isnan(LEADS))
    np.testing.assert_array_equal(
        bridged, [[1.0, 2.0, 3.0, 4.0], [1.0, 3.0, 5.0, 7.0], [0.0, 0.0, 0.0, 0.0]]
    )


def test_where_nothing_is_missing_nothing_is_copied() -> None:
    whole = LEADS[:1]
    assert where_whole(whole) is whole
    assert bridge_gaps(whole, np.isnan(whole)) is whole
