"""Putting right by algebra, and what must never be put right."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from couchside.errors import InvalidInput
from couchside.measures import MeasureName, measure
from couchside.quality import Verdict, check
from couchside.quality.interchange import ARRANGEMENTS, Arrangement, preview_put_right, put_right
from couchside.quality.interchange.arrangements import find_code_mixed_up
from couchside.quality.interchange.undoing import DERIVED_REMARK
from couchside.quality.interchange.words import name_arrangement
from couchside.quality.withheld import REASON
from couchside.recording import ColourCode, Electrode, Recording
from couchside.simulate import exchange, get_scenario, simulate
from couchside.simulate.cables import Cables
from couchside.waves import delineate

_RA, _LA, _LL, _RL = Electrode.RA, Electrode.LA, Electrode.LL, Electrode.RL
CAN_BE_UNDONE = [each for each in ARRANGEMENTS if each.cables and each.can_be_undone]
NANOVOLTS = 1e-3
INTERVALS = (
    MeasureName.PR_INTERVAL,
    MeasureName.QRS_DURATION,
    MeasureName.QT_INTERVAL,
)
SAMPLE_MS = 2.0


@cache
def _good() -> Recording:
    return simulate(get_scenario("good")).recording


def _hang(arrangement: Arrangement) -> Recording:
    """The good recording with its cables hung so; an exchange of two is its own undoing."""
    back = {site: cable for cable, site in arrangement.cables.items()}
    return put_right(_good(), replace(arrangement, cables=back))


def _find(cables: Cables) -> Arrangement:
    return next(each for each in ARRANGEMENTS if dict(each.cables) == dict(cables))


@pytest.mark.parametrize("arrangement", CAN_BE_UNDONE, ids=name_arrangement)
def test_what_can_be_undone_comes_back_exactly(arrangement: Arrangement) -> None:
    restored = put_right(_hang(arrangement), arrangement)
    eight = [restored.leads.index(name) for name in ("I", "II", "V1", "V2", "V3", "V4", "V5", "V6")]
    np.testing.assert_allclose(
        restored.microvolts[eight], _good().microvolts[eight], rtol=0.0, atol=NANOVOLTS
    )
    assert restored.remarks[0] == DERIVED_REMARK
    assert restored.origin is None


def test_a_cable_on_the_right_leg_is_never_undone() -> None:
    with pytest.raises(InvalidInput, match="record again"):
        put_right(_good(), _find(exchange(_RA, _RL)))


def test_a_preview_says_what_was_put_back() -> None:
    preview = preview_put_right(simulate(get_scenario("arm-cables-exchanged")).recording)
    assert preview.remarks[0] == (f"{DERIVED_REMARK}: the right-arm and left-arm cables exchanged")


def test_there_is_no_preview_of_cables_in_place() -> None:
    with pytest.raises(InvalidInput, match="nothing to put right"):
        preview_put_right(_good())


@pytest.mark.parametrize(
    "cables",
    [exchange(_RA, _LA), exchange(_RA, _LL), exchange(Electrode.C2, Electrode.C4)],
    ids=["RA-LA", "RA-LL", "C2-C4"],
)
def test_an_exchange_inside_a_group_changes_no_interval(cables: Cables) -> None:
    """Batchvarov2007: leads are only renamed or turned round; samples are allowed for rules
    that look at single leads, here up to three."""
    before = measure(_good(), delineate(_good()))
    hung = _hang(_find(cables))
    after = measure(hung, delineate(hung))
    for name in INTERVALS:
        expected, found = before.get(name).value, after.get(name).value
        assert expected is not None
        assert found == pytest.approx(expected, abs=3 * SAMPLE_MS), name


def test_axes_beside_an_exchange_are_withheld() -> None:
    assessment = check(simulate(get_scenario("arm-cables-exchanged")).recording)
    assert assessment.verdict == Verdict.RECORD_AGAIN
    axis = assessment.measures.get(MeasureName.QRS_AXIS)
    assert (axis.value, axis.reason) == (None, REASON)
    assert assessment.measures.get(MeasureName.PR_INTERVAL).value is not None


def test_mixed_colours_are_recognised() -> None:
    """Facts of the two codes: red is RA by IEC and LL by AHA, black RL and LA, green LL and RL."""
    by_aha = _find({_RA: _LL, _LA: _RA, _LL: _RL, _RL: _LA})
    assert find_code_mixed_up(by_aha) is ColourCode.AHA
    by_iec = _find({_RA: _LA, _LA: _RL, _LL: _RA, _RL: _LL})
    assert find_code_mixed_up(by_iec) is ColourCode.IEC
    assert find_code_mixed_up(_find(exchange(_RA, _LA))) is None
