"""The frontal axis by the hexaxial system: I at 0°, II at +60°, III at +120°, aVF at +90°.

With U the frontal vector, I = |U| cos θ, II = |U| cos(θ − 60°), and by Goldberger's definition
aVF = II − I/2 = (√3/2)|U| sin θ. So θ = atan2((2/√3)·aVF, I), and the same angle follows from I
with II or with III: atan2((2·II − I)/√3, I) = atan2((I + 2·III)/√3, I). Without the 2/√3 the error
reaches 4.1°. All of this is algebra: the tolerance is that of floating-point numbers.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from couchside.measures.axes import frontal_angle_deg

ANGLES_DEG = (-179.0, -150.0, -90.0, -37.0, 0.0, 13.0, 60.0, 91.0, 120.0, 180.0)


def leads_at(angle_deg: float) -> tuple[float, float, float, float]:
    first = math.cos(math.radians(angle_deg))
    second = math.cos(math.radians(angle_deg - 60.0))
    return first, second, second - first, second - first / 2.0


@pytest.mark.parametrize("angle_deg", ANGLES_DEG)
def test_the_angle_comes_back(angle_deg: float) -> None:
    first, _, _, foot = leads_at(angle_deg)
    assert frontal_angle_deg(first, foot) == pytest.approx(angle_deg, abs=1e-9)


@pytest.mark.parametrize("angle_deg", ANGLES_DEG)
def test_three_pairs_of_leads_give_one_angle(angle_deg: float) -> None:
    first, second, third, foot = leads_at(angle_deg)
    by_second = math.degrees(math.atan2((2 * second - first) / math.sqrt(3), first))
    by_third = math.degrees(math.atan2((first + 2 * third) / math.sqrt(3), first))
    found = frontal_angle_deg(first, foot)
    assert found == pytest.approx(by_second, abs=1e-9)
    assert found == pytest.approx(by_third, abs=1e-9)


def test_without_the_factor_the_error_reaches_four_degrees() -> None:
    angles_deg = np.arange(-90.0, 90.0, 0.1)
    plain = [math.degrees(math.atan2(leads_at(a)[3], leads_at(a)[0])) for a in angles_deg]
    assert np.abs(np.array(plain) - angles_deg).max() == pytest.approx(4.11, abs=0.01)
