"""One person's heart: drawn once from the heart's own seed, a little different on every day."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from couchside.simulate.chance import Chance
from couchside.simulate.heart.anatomy import Anatomy, own_shape
from couchside.simulate.heart.conduction import (
    LEFT_BLOCK_MS,
    PACED_MS,
    RIGHT_BLOCK_MS,
    atrial_beat,
    left_bundle_branch_block,
    mirrored,
    paced_beat,
    right_bundle_branch_block,
    ventricular_beat,
)
from couchside.simulate.heart.growth import Usual, usual_at
from couchside.simulate.heart.shapes import BeatShape
from couchside.simulate.heart.state import AvBlock, Body, Conduction, HeartState, Rhythm

FloatArray = NDArray[np.float64]

_FIRST_DEGREE_MS = 110.0
"""What first-degree block adds to a person's own PR."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Heart:
    """A person's heart as it is on the day of a recording.

    Parameters
    ----------
    usual_beat : BeatShape
        The beat that comes down the person's own conduction system, or is paced.
    atrial_beat : BeatShape
        The beat that starts elsewhere in the atria.
    ventricular_beat : BeatShape
        The beat that starts in the ventricles.
    rate_per_min, p_ms, pr_ms, qtc_ms : float
        Its rate and intervals over all leads; `qtc_ms` by Fridericia.
    sinus_arrhythmia_ms : float
        How far breathing moves the RR interval, half of peak to peak.
    """

    usual_beat: BeatShape
    atrial_beat: BeatShape
    ventricular_beat: BeatShape
    rate_per_min: float
    p_ms: float
    pr_ms: float
    qtc_ms: float
    sinus_arrhythmia_ms: float


def heart_of(body: Body, state: HeartState, day: Chance) -> Heart:
    """The heart that a body has, beating as a scenario says.

    Parameters
    ----------
    body : Body
        Whose; its seed settles the shapes and the person's own intervals.
    state : HeartState
        What the scenario sets; it overrides what is the person's own.
    day : Chance
        The stream for what differs from day to day.
    """
    person = Chance(body.heart_seed, "intervals")
    usual = usual_at(body.age_years, body.sex)
    own_qrs_ms = usual.qrs_ms + usual.qrs_sd_ms * _bounded(person)
    own_rate = usual.rate_per_min * _spread(usual.log_rate_sd, person, day, 0.08)
    own_pr = usual.pr_ms * _spread(usual.log_pr_sd, person, day, 0.03)
    if state.av_block is AvBlock.FIRST_DEGREE:
        own_pr += _FIRST_DEGREE_MS
    own_qtc = usual.qtcf_ms + usual.qtc_sd_ms * _bounded(person) + day.normal(0.0, 5.0)
    axis_deg = _own_axis(usual, person) + day.normal(0.0, 3.0)
    p_ms = usual.p_ms * (1.0 + 0.075 * _bounded(person))
    anatomy = own_shape(
        body,
        state,
        usual,
        axis_deg=_given_or(state.axis_deg, axis_deg),
        qrs_ms=own_qrs_ms,
        day=day,
    )
    shape, ventricular = _beats(body, state, anatomy)
    return Heart(
        usual_beat=shape,
        atrial_beat=atrial_beat(shape),
        ventricular_beat=ventricular,
        rate_per_min=_given_or(state.rate_per_min, own_rate),
        p_ms=min(p_ms, _given_or(state.pr_ms, own_pr) - 12.0),
        pr_ms=_given_or(state.pr_ms, own_pr),
        qtc_ms=_given_or(state.qtc_ms, own_qtc + 0.55 * max(0.0, shape.qrs_ms - 110.0)),
        sinus_arrhythmia_ms=_given_or(state.sinus_arrhythmia_ms, usual.sinus_arrhythmia_ms),
    )


def _beats(body: Body, state: HeartState, anatomy: Anatomy) -> tuple[BeatShape, BeatShape]:
    """The usual beat and the ventricular beat."""
    own, scale = anatomy.shape, anatomy.scale * state.voltage_scale
    ventricular = ventricular_beat(own, Chance(body.heart_seed, "ventricular beat"), scale)
    if state.rhythm is Rhythm.VENTRICULAR_PACED:
        own = paced_beat(own, scale, _given_or(state.qrs_ms, PACED_MS))
    elif state.conduction is Conduction.LEFT_BUNDLE_BRANCH_BLOCK:
        own = left_bundle_branch_block(own, scale, _given_or(state.qrs_ms, LEFT_BLOCK_MS))
    elif state.conduction is Conduction.RIGHT_BUNDLE_BRANCH_BLOCK:
        own = right_bundle_branch_block(
            own, anatomy.qrs_points_mv, anatomy.t_mv, _given_or(state.qrs_ms, RIGHT_BLOCK_MS)
        )
    elif state.qrs_ms is not None:
        own = replace(own, qrs_ms=state.qrs_ms)
    if state.dextrocardia:
        return mirrored(own), mirrored(ventricular)
    return own, ventricular


def _own_axis(usual: Usual, person: Chance) -> float:
    luck = _bounded(person)
    return usual.axis_deg + usual.axis_sd_deg * luck - usual.axis_skew_deg * (luck**2 - 1.0)


def _spread(log_sd: float, person: Chance, day: Chance, log_day_sd: float) -> float:
    return float(np.exp(log_sd * _bounded(person) + log_day_sd * _bounded(day)))


def _bounded(chance: Chance) -> float:
    """A standard normal number, at most 2.8 either way: nobody here is a wonder."""
    return float(np.clip(chance.normal(0.0, 1.0), -2.8, 2.8))


def _given_or(given: float | None, own: float) -> float:
    return own if given is None else given
