"""One person's heart: its shapes and intervals, drawn once from the heart's own seed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.recording import Sex
from couchside.simulate.chance import Chance
from couchside.simulate.heart.loops import Loop, turn_about_back, turn_about_feet, turn_about_left
from couchside.simulate.heart.shapes import (
    BeatShape,
    normal_p,
    normal_qrs,
    normal_t,
    normal_u,
    st_plateau,
)
from couchside.simulate.heart.state import Body, HeartState
from couchside.simulate.torso import DOWER

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Heart:
    """A person's heart as it is on the day of a recording.

    Parameters
    ----------
    shape : BeatShape
        Of the beats that come down the person's own conduction system.
    rate_per_min, p_ms, pr_ms, qrs_ms, qtc_ms : float
        Its intervals over all leads; `qtc_ms` by Fridericia.
    sinus_arrhythmia_ms : float
        How far breathing moves the RR interval, half of peak to peak.
    """

    shape: BeatShape
    rate_per_min: float
    p_ms: float
    pr_ms: float
    qrs_ms: float
    qtc_ms: float
    sinus_arrhythmia_ms: float


def heart_of(body: Body, state: HeartState) -> Heart:
    """The heart that a body has, beating as a scenario says."""
    chance = Chance(body.heart_seed, "heart")
    rate = float(np.clip(68.0 * np.exp(0.165 * chance.normal(0.0, 1.0)), 42.0, 115.0))
    qrs_ms = _female_or_male(body.sex, 84.0, 92.0) + chance.normal(0.0, 8.5)
    pr_ms = 152.0 * np.exp(0.14 * chance.normal(0.0, 1.0)) + 0.2 * (body.age_years - 45.0)
    qtc_ms = _female_or_male(body.sex, 408.0, 396.0) + chance.normal(0.0, 17.0)
    axis = 62.0 - 0.75 * (body.age_years - 18.0) + chance.normal(0.0, 24.0)
    return Heart(
        shape=_own_shape(chance, body, state, axis),
        rate_per_min=_given_or(state.rate_per_min, rate),
        p_ms=float(np.clip(102.0 + chance.normal(0.0, 9.0), 70.0, 130.0)),
        pr_ms=_given_or(state.pr_ms, float(np.clip(pr_ms, 105.0, 230.0))),
        qrs_ms=_given_or(state.qrs_ms, float(np.clip(qrs_ms, 66.0, 112.0))),
        qtc_ms=_given_or(state.qtc_ms, qtc_ms),
        sinus_arrhythmia_ms=_given_or(
            state.sinus_arrhythmia_ms, max(4.0, 60.0 - 0.8 * body.age_years)
        ),
    )


def frontal_axis_deg(loop: Loop) -> float:
    """Axis of a loop's net area in the leads I and aVF, in degrees."""
    area = loop.at(np.linspace(0.0, 1.0, 200)).sum(axis=1)
    first, second = DOWER[0] @ area, DOWER[1] @ area
    return float(np.rad2deg(np.arctan2((second - first / 2.0) * 2.0 / np.sqrt(3.0), first)))


def _own_shape(chance: Chance, body: Body, state: HeartState, axis_deg: float) -> BeatShape:
    scale = float(np.exp(0.17 * chance.normal(0.0, 1.0))) * _female_or_male(body.sex, 0.9, 1.05)
    lie = turn_about_feet(chance.normal(0.0, 10.0)) @ turn_about_left(chance.normal(0.0, 7.0))
    qrs = normal_qrs().turned(lie).scaled(scale * state.voltage_scale)
    qrs = _with_axis(qrs, state.axis_deg if state.axis_deg is not None else axis_deg)
    t_turn = turn_about_feet(chance.normal(0.0, 9.0)) @ turn_about_back(chance.normal(0.0, 10.0))
    t_scale = float(np.exp(0.22 * chance.normal(0.0, 1.0))) * _female_or_male(body.sex, 0.85, 1.1)
    p_turn = turn_about_back(chance.normal(0.0, 9.0)) @ turn_about_feet(chance.normal(0.0, 9.0))
    p_scale = float(np.exp(0.16 * chance.normal(0.0, 1.0)))
    return BeatShape(
        p=normal_p().turned(p_turn).scaled(p_scale),
        qrs=qrs,
        st=st_plateau((0.015, 0.010, -0.030)).scaled(t_scale),
        t=normal_t().turned(t_turn).scaled(t_scale * min(1.0, state.voltage_scale)),
        u=normal_u(),
    )


def _with_axis(loop: Loop, axis_deg: float) -> Loop:
    for _ in range(4):
        loop = loop.turned(turn_about_back(axis_deg - frontal_axis_deg(loop)))
    return loop


def _given_or(given: float | None, own: float) -> float:
    return own if given is None else given


def _female_or_male(sex: Sex, female: float, male: float) -> float:
    return {Sex.FEMALE: female, Sex.MALE: male}.get(sex, (female + male) / 2.0)
