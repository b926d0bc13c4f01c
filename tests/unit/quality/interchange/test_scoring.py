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
    EarlierEvidence,
    find_features,
    score_arrangements,
)
from couchside.quality.interchange.undoing import undoing_matrix
from couchside.recording import Electrode
from couchside.simulate import get_scenario, simulate
from couchside.waves import RepresentativeBeat, delineate

MISTAKES = [each for each in ARRANGEMENTS if each.group is not ArrangementGroup.IN_PLACE]
LEFT_ARM_LEFT_LEG = ArrangementGroup.LEFT_ARM_LEFT_LEG


def _name(arrangement: Arrangement) -> str:
    return " ".join(f"{cable}@{site}" for cable, site in arrangement.cables.items()) or "in place"


@cache
def _beat(place: int) -> RepresentativeBeat | None:
    scenario = replace(get_scenario("good"), cables=ARRANGEMENTS[place].cables)
    return delineate(simulate(scenario).recording).representative


def _features(place: int) -> BeatFeatures:
    features = find_features(_beat(place))
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


def _evidence(now: dict[int, float], then: dict[int, float] | None = None) -> EarlierEvidence:
    """An earlier recording with its cables in place, for which these arrangements speak."""
    hung_now, hung_then = (np.zeros(len(ARRANGEMENTS)) for _ in range(2))
    for place, gained in now.items():
        hung_now[place] = gained
    for place, gained in (then or {}).items():
        hung_then[place] = gained
    return EarlierEvidence(features=_features(0), hung_now=hung_now, hung_then=hung_then)


def _place_of(group: ArrangementGroup) -> int:
    return next(at for at, each in enumerate(ARRANGEMENTS) if each.group is group)


def test_an_earlier_recording_tells_what_one_alone_cannot() -> None:
    place = _place_of(LEFT_ARM_LEFT_LEG)
    beside = score_arrangements(_features(place), earlier=_evidence({place: 30.0}))
    assert beside.exchanged
    assert beside.best.group is LEFT_ARM_LEFT_LEG
    assert beside.probability_then < 0.1
    assert beside.probabilities.sum() + beside.probability_then == pytest.approx(1.0)


def test_an_earlier_recording_that_was_exchanged_is_not_held_against_the_new_one() -> None:
    place = _place_of(ArrangementGroup.LIMB)
    evidence = replace(_evidence({place: 30.0}, {place: 30.0}), features=_features(place))
    beside = score_arrangements(_features(0), earlier=evidence)
    assert not beside.exchanged
    assert beside.best_then.looks_like(ARRANGEMENTS[place])
    assert beside.probability_then > 0.9


def test_one_mistake_made_twice_stays_told() -> None:
    """Both beats are alike, so that only usual hearts can tell."""
    place = _place_of(ArrangementGroup.LIMB)
    evidence = replace(
        _evidence({place: -40.0}, {place: -40.0}),
        features=_features(place),
    )
    assert score_arrangements(_features(place), earlier=evidence).exchanged


CLEAR = [each for each in MISTAKES if each.group is ArrangementGroup.LIMB][:3]


@pytest.mark.parametrize("lead", ["V1", "V4", "V6"])
@pytest.mark.parametrize("arrangement", CLEAR, ids=_name)
def test_a_chest_lead_that_cannot_be_read_is_left_out(lead: str, arrangement: Arrangement) -> None:
    beat = _beat(ARRANGEMENTS.index(arrangement))
    features = find_features(beat, [lead])
    assert features is not None
    assert features.unknown == (2 + int(lead[1]),)
    scores = score_arrangements(features)
    assert scores.exchanged
    assert scores.best.looks_like(arrangement)


def test_with_three_leads_that_cannot_be_read_nothing_is_said() -> None:
    assert find_features(_beat(0), ["V2", "V3", "V5"]) is None


def test_a_limb_cable_that_cannot_be_read_is_the_one_that_two_leads_share() -> None:
    beat = _beat(0)
    for pair, row in ((("I", "II"), 0), (("I", "III"), 1), (("II", "III"), 2)):
        features = find_features(beat, [*pair, "aVR"])
        assert features is not None
        assert features.unknown == (row,)
        assert not score_arrangements(features).exchanged
    assert find_features(beat, ["I", "II", "III"]) is None
    assert find_features(beat, ["II"]) is None


def test_where_a_cable_cannot_be_read_nothing_shows_that_it_is_lost() -> None:
    place = next(
        at
        for at, each in enumerate(ARRANGEMENTS)
        if set(each.cables) == {Electrode.RL, Electrode.C5}
    )
    features = find_features(_beat(place), ["V5"])
    assert features is not None
    assert not score_arrangements(features).exchanged


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
