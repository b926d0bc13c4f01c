"""Arrangements scored on the simulated heart; the algebra itself is in tests/standards."""

from __future__ import annotations

import time
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from couchside.quality.interchange import (
    ARRANGEMENTS,
    Arrangement,
    ArrangementGroup,
    BeatFeatures,
    find_features,
    score_arrangements,
)
from couchside.quality.interchange.undoing import undoing_matrix
from couchside.recording import Recording
from couchside.simulate import get_scenario, simulate
from couchside.waves import delineate

MISTAKES = [each for each in ARRANGEMENTS if each.group is not ArrangementGroup.IN_PLACE]
LEFT_ARM_LEFT_LEG = ArrangementGroup.LEFT_ARM_LEFT_LEG


def _name(arrangement: Arrangement) -> str:
    return " ".join(f"{cable}@{site}" for cable, site in arrangement.cables.items()) or "in place"


@cache
def _recorded(place: int) -> Recording:
    scenario = replace(get_scenario("good"), cables=ARRANGEMENTS[place].cables)
    return simulate(scenario).recording


def _features(place: int) -> BeatFeatures:
    features = find_features(delineate(_recorded(place)).representative)
    assert features is not None
    return features


def test_all_hangings_are_listed_once() -> None:
    assert len({frozenset(each.cables.items()) for each in ARRANGEMENTS}) == len(ARRANGEMENTS)
    assert len(ARRANGEMENTS) == 24 + 15 + 3 + 6


@pytest.mark.parametrize("arrangement", MISTAKES, ids=_name)
def test_a_mistake_is_told_and_named(arrangement: Arrangement) -> None:
    """Two hangings that differ by the leg alone leave one recording; either name is right.

    Left arm with left leg may look like a usual heart; then it is among the first runners-up.
    """
    scores = score_arrangements(_features(ARRANGEMENTS.index(arrangement)))
    if arrangement.group is LEFT_ARM_LEFT_LEG and not scores.exchanged:
        assert any(each.looks_like(arrangement) for each, _ in scores.ranked[:3])
        return
    np.testing.assert_array_equal(undoing_matrix(scores.best), undoing_matrix(arrangement))
    assert scores.probability > 0.0


@pytest.mark.parametrize("place", [0, 1])
def test_cables_in_place_and_traded_legs_are_not_told(place: int) -> None:
    scores = score_arrangements(_features(place))
    assert ARRANGEMENTS[place].group is ArrangementGroup.IN_PLACE
    assert not scores.exchanged
    assert scores.probabilities.sum() == pytest.approx(1.0)


def test_an_earlier_recording_tells_what_one_alone_cannot() -> None:
    place = next(at for at, each in enumerate(ARRANGEMENTS) if each.group is LEFT_ARM_LEFT_LEG)
    alone = score_arrangements(_features(place))
    beside = score_arrangements(_features(place), earlier=_features(0))
    assert beside.exchanged
    assert beside.best.group is LEFT_ARM_LEFT_LEG
    gain = [np.subtract(*each.scores[[place, 0]]) for each in (beside, alone)]
    assert gain[0] > gain[1]


def test_a_prior_may_ask_for_more() -> None:
    place = ARRANGEMENTS.index(next(e for e in MISTAKES if e.group is ArrangementGroup.LIMB))
    never = dict.fromkeys(ArrangementGroup, 1e6) | {ArrangementGroup.IN_PLACE: 0.0}
    assert score_arrangements(_features(place)).exchanged
    assert not score_arrangements(_features(place), prior=never).exchanged


def test_all_arrangements_take_less_than_two_milliseconds() -> None:
    features = _features(0)
    score_arrangements(features)
    taken_s = []
    for _ in range(30):
        start = time.process_time()
        score_arrangements(features)
        taken_s.append(time.process_time() - start)
    assert min(taken_s) < 0.002
