from __future__ import annotations

from dataclasses import replace
from time import process_time

import numpy as np
import pytest

from couchside.recording import (
    ELECTRODES,
    INDEPENDENT_LEADS,
    STANDARD_LEADS,
    Electrode,
    get_lead_matrix,
)
from couchside.serial import Examined, log_likelihood_by_arrangement
from couchside.serial.arrangements import _POTENTIALS, Cables, lead_map, log_likelihoods
from couchside.serial.exchange import find_evidence, find_exchange, name_cables
from couchside.serial.shape import BeatShape, find_shape
from couchside.simulate import chest_exchanges, exchange, limb_arrangements
from couchside.simulate.cables import potentials_at_cables
from couchside.waves import RepresentativeBeat, delineate

RA, LA, LL = Electrode.RA, Electrode.LA, Electrode.LL


def beat_under(examined: Examined, cables: Cables) -> RepresentativeBeat:
    """The representative beat as recorded with the cables exchanged."""
    beat = examined.assessment.waves.representative
    assert beat is not None
    rows = [beat.leads.index(lead) for lead in INDEPENDENT_LEADS]
    mapped = get_lead_matrix(STANDARD_LEADS) @ _POTENTIALS
    return replace(
        beat,
        leads=STANDARD_LEADS,
        microvolts=mapped @ lead_map(cables) @ beat.microvolts[rows],
    )


def shape_of(examined: Examined) -> BeatShape:
    shape = find_shape(examined.assessment.waves.representative)
    assert shape is not None
    return shape


@pytest.mark.parametrize("cables", [*limb_arrangements(), *chest_exchanges()])
def test_lead_map_is_the_algebra_of_potentials_at_cables(cables: Cables) -> None:
    potentials = np.random.default_rng(4).normal(size=(len(ELECTRODES), 5))
    potentials[3] = potentials[2]  # the right leg has the left leg's potential
    matrix = get_lead_matrix(INDEPENDENT_LEADS)
    expected = matrix @ potentials_at_cables(potentials, cables)
    np.testing.assert_allclose(lead_map(cables) @ (matrix @ potentials), expected, atol=1e-12)


@pytest.mark.parametrize(
    ("cables", "words"),
    [
        ({}, ""),
        (exchange(LA, LL), "left-arm and left-leg cables"),
        (exchange(RA, LA), "right-arm and left-arm cables"),
        (exchange(RA, LL), "right-arm and left-leg cables"),
        (exchange(Electrode.C1, Electrode.C3), "V1 and V3 cables"),
    ],
)
def test_an_exchange_is_named(
    earlier: Examined, later: Examined, cables: Cables, words: str
) -> None:
    new, old = beat_under(later, cables), beat_under(earlier, {})
    found = find_exchange(new, find_evidence(new, old))
    assert found is not None
    assert found.words == words
    assert found.probability > 0.9
    assert found.now is bool(cables)


def test_an_exchange_of_the_earlier_recording_is_named_as_its_own(
    earlier: Examined, later: Examined
) -> None:
    new, old = beat_under(later, {}), beat_under(earlier, exchange(RA, LA))
    found = find_exchange(new, find_evidence(new, old))
    assert found is not None
    assert found.words == "right-arm and left-arm cables"
    assert not found.now


def test_all_arrangements_take_less_than_two_milliseconds(
    earlier: Examined, later: Examined
) -> None:
    new, old = shape_of(later), shape_of(earlier)
    taken_s = []
    for _ in range(30):
        begin = process_time()
        log_likelihoods(new, old)
        taken_s.append(process_time() - begin)
    assert min(taken_s) < 0.002


def test_likelihoods_prefer_the_arrangement_that_is(earlier: Examined, later: Examined) -> None:
    swapped = later.recording.microvolts.copy()
    swapped[[0, 1, 2, 4, 5]] = swapped[[1, 0, 2, 5, 4]]
    swapped[2] *= -1
    new = replace(later.recording, microvolts=swapped)
    found = log_likelihood_by_arrangement(
        delineate(new).representative,
        earlier.assessment.waves.representative,
        ({}, exchange(LA, LL), exchange(RA, LA)),
    )
    assert found is not None
    assert int(np.argmax(found)) == 1
    assert found[1] - found[0] > 10.0


def test_without_a_beat_nothing_can_be_said(earlier: Examined) -> None:
    beat = earlier.assessment.waves.representative
    assert log_likelihood_by_arrangement(beat, None, ({},)) is None


def test_cables_are_named_in_the_order_of_electrodes() -> None:
    assert name_cables({LL: RA, RA: LA, LA: LL}) == "right-arm, left-arm and left-leg cables"
