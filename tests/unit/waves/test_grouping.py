from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from couchside.recording import Recording
from couchside.waves import delineate
from couchside.waves.group import MOST_GROUPS

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


def test_beats_that_are_like_no_other_stand_alone_and_soon() -> None:
    chance = np.random.default_rng(5)
    times = np.arange(60_000)
    beats = np.arange(200, 59_800, 250)
    samples = chance.normal(0.0, 2.0, (3, times.size))
    for beat in beats:
        samples[:, beat - 20 : beat + 20] += 900.0 * chance.standard_normal((3, 40))
    recording = Recording(leads=("I", "II", "V2"), microvolts=samples, rate_hz=500.0)

    waves = delineate(recording)

    sizes = np.bincount(waves.beat_groups)
    assert waves.beat_count > 200
    assert sizes.size > MOST_GROUPS
    assert (sizes[MOST_GROUPS:] == 1).all()
    assert (np.diff(sizes) <= 0).all()
