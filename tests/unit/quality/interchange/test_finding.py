"""Cables exchanged by exact algebra, on the synthetic heart."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from couchside.quality import FindingKind, Verdict, check
from couchside.quality.copies import find_copies
from couchside.recording import (
    ELECTRODES,
    STANDARD_LEADS,
    Electrode,
    Recording,
    get_lead_matrix,
)
from couchside.simulate import exchange, get_scenario, simulate
from couchside.simulate.cables import Cables
from couchside.simulate.library.hearts import heart_scenarios

FloatArray = NDArray[np.float64]
MakeRecording = Callable[..., Recording]
_RA, _LA, _LL, _RL = Electrode.RA, Electrode.LA, Electrode.LL, Electrode.RL


def _exchanged(potentials: FloatArray, on: dict[Electrode, Electrode]) -> FloatArray:
    order = [ELECTRODES.index(on.get(cable, cable)) for cable in ELECTRODES]
    return get_lead_matrix(STANDARD_LEADS) @ potentials[order]


@pytest.fixture
def potentials(make_recording: MakeRecording) -> FloatArray:
    """Potentials against Wilson's terminal, from the leads; the right leg is like the left."""
    recording = make_recording()
    right = -(recording.get_lead("I") + recording.get_lead("II")) / 3.0
    limbs = [right, right + recording.get_lead("I"), right + recording.get_lead("II")]
    return np.vstack([*limbs, limbs[2] * 0.99, recording.microvolts[6:]])


@pytest.mark.parametrize(
    ("on", "electrodes"),
    [
        ({_RA: _LA, _LA: _RA}, {_RA, _LA}),
        ({_RA: _LL, _LL: _RA}, {_RA, _LL}),
        ({_RA: _RL, _RL: _RA}, {_RA, _RL}),
        ({_LA: _RL, _RL: _LA}, {_LA, _RL}),
        ({_RA: _RL, _RL: _RA, _LA: _LL, _LL: _LA}, {_RA, _LA, _LL, _RL}),
    ],
)
def test_an_exchange_is_named(
    make_recording: MakeRecording,
    potentials: FloatArray,
    on: dict[Electrode, Electrode],
    electrodes: set[Electrode],
) -> None:
    assessment = check(replace(make_recording(), microvolts=_exchanged(potentials, on)))
    (found,) = assessment.findings
    assert found.kind == FindingKind.CABLES_EXCHANGED
    assert set(found.electrodes) == electrodes
    assert assessment.verdict == Verdict.RECORD_AGAIN


def test_cables_in_place_are_not_suspected(
    make_recording: MakeRecording, potentials: FloatArray
) -> None:
    assert check(replace(make_recording(), microvolts=_exchanged(potentials, {}))).findings == ()


def test_left_and_right_leg_exchanged_does_no_harm(
    make_recording: MakeRecording, potentials: FloatArray
) -> None:
    exchanged = _exchanged(potentials, {_LL: _RL, _RL: _LL})
    assert check(replace(make_recording(), microvolts=exchanged)).findings == ()


@pytest.mark.parametrize("cable", [Electrode.C3, Electrode.C5])
def test_a_chest_cable_on_the_right_leg_is_told_although_its_lead_copies_another(
    cable: Electrode,
) -> None:
    """The legs are nearly one potential: the chest lead is then aVF over again, smaller."""
    recording = simulate(get_scenario("good")).recording
    right = -(recording.get_lead("I") + recording.get_lead("II")) / 3.0
    leg = right + recording.get_lead("II")
    limbs = [right, right + recording.get_lead("I"), leg, leg]
    potentials = np.vstack([*limbs, recording.microvolts[6:]])
    hung = replace(recording, microvolts=_exchanged(potentials, {cable: _RL, _RL: cable}))
    ((first, second),) = [(each.first, each.second) for each in find_copies(hung, ())]
    assert (first, second) == ("aVF", cable.value.replace("C", "V"))
    assessment = check(hung)
    (found,) = assessment.findings
    assert found.kind == FindingKind.CABLES_EXCHANGED
    assert set(found.electrodes) == {_RL, cable}
    assert assessment.verdict == Verdict.RECORD_AGAIN


def _hung(name: str, cables: Cables) -> tuple[str, ...]:
    """What is said of exchanged cables in a named scenario hung another way."""
    recording = simulate(replace(get_scenario(name), cables=cables)).recording
    findings = check(recording).findings
    return tuple(each.sentence for each in findings if each.kind == FindingKind.CABLES_EXCHANGED)


def test_exchanged_arms_are_told_where_there_is_no_p() -> None:
    assert _hung("irregular-rhythm", {}) == ()
    (sentence,) = _hung("irregular-rhythm", exchange(_RA, _LA))
    assert sentence.startswith("The right-arm and left-arm cables seem to be exchanged: QRS and T")


HEARTS = [each.name for each in heart_scenarios() if each.name != "dextrocardia"]


def test_a_heart_on_the_right_side_is_left_open() -> None:
    """Told apart from exchanged arms by R that falls from V1 to V6 [Batchvarov2007]."""
    assessment = check(simulate(get_scenario("dextrocardia")).recording)
    (found,) = [e for e in assessment.findings if e.kind == FindingKind.CABLES_EXCHANGED]
    assert found.asks == Verdict.KEEP_WITH_REMARK
    assert "cannot be told which" in found.sentence


@pytest.mark.parametrize("name", HEARTS)
def test_no_heart_of_the_library_is_taken_for_exchanged_cables(name: str) -> None:
    assert _hung(name, {}) == ()
