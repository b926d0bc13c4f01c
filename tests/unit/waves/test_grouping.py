from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from couchside.waves import delineate

WriteEcg = Callable[..., Any]


def test_beats_of_one_shape_are_one_group(write_ecg: WriteEcg) -> None:
    waves = delineate(write_ecg().recording)
    assert set(waves.beat_groups.tolist()) == {0}


def test_wide_beats_stand_apart_and_do_not_lead(write_ecg: WriteEcg) -> None:
    wide = (3, 7)
    waves = delineate(write_ecg(wide_beats=wide).recording)
    assert np.flatnonzero(waves.beat_groups != 0).tolist() == list(wide)
    assert len(set(waves.beat_groups[list(wide)].tolist())) == 1


def test_the_larger_group_leads_even_if_wide(write_ecg: WriteEcg) -> None:
    wide = tuple(range(2, 12))
    waves = delineate(write_ecg(wide_beats=wide).recording)
    assert np.flatnonzero(waves.beat_groups == 0).tolist() == list(wide)


def test_wide_beats_have_their_own_boundaries(write_ecg: WriteEcg) -> None:
    waves = delineate(write_ecg(wide_beats=(3, 7)).recording)
    width_ms = (waves.qrs.offset - waves.qrs.onset)[1] * 2.0
    assert (width_ms[[3, 7]] > width_ms[[2, 4, 5, 6, 8]].max() + 40.0).all()
    assert np.isnan(waves.p.onset[:, [3, 7]]).all()
