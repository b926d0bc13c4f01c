"""When the beats come: the plan of a recording's beats before any of them is drawn."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from couchside.simulate.chance import Chance
from couchside.simulate.heart.state import HeartState, Rhythm
from couchside.simulate.heart.traits import Heart

LEAD_IN_S = 2.0
"""Beats are planned from before the recording, so that none is missing at its start."""

_REFRACTORY_RR_S = 0.30
_COUPLING_OF_PREMATURE_BEATS = 0.62


class BeatKind(StrEnum):
    """Where a beat comes from."""

    SINUS = "sinus"
    ATRIAL_PREMATURE = "atrial premature"
    VENTRICULAR_PREMATURE = "ventricular premature"
    CONDUCTED = "conducted"
    PACED = "paced"
    ESCAPE = "escape"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedBeat:
    """One beat of the ventricles.

    Parameters
    ----------
    kind : BeatKind
        Where it comes from.
    qrs_onset_s : float
        Seconds from the start of the recording; negative before it.
    rr_s : float
        Since the beat before.
    pr_s : float or None
        From the onset of the P wave that led to it; None where no P wave did.
    """

    kind: BeatKind
    qrs_onset_s: float
    rr_s: float
    pr_s: float | None


def plan_beats(
    heart: Heart, state: HeartState, duration_s: float, breath_hz: float, chance: Chance
) -> list[PlannedBeat]:
    """Beats from before the start of a recording to its end.

    Parameters
    ----------
    heart, state
        Whose beats, and how they come.
    duration_s : float
        Length of the recording in seconds.
    breath_hz : float
        Rate of breathing, which sinus arrhythmia follows.
    chance : Chance
        The stream for the rhythm.
    """
    moment = -LEAD_IN_S + chance.uniform(0.0, 60.0 / heart.rate_per_min)
    if state.rhythm is Rhythm.ATRIAL_FIBRILLATION:
        return _plan_fibrillation(heart, duration_s, moment, chance)
    return _plan_sinus(heart, state, duration_s, moment, breath_hz, chance)


def _plan_sinus(
    heart: Heart,
    state: HeartState,
    duration_s: float,
    moment: float,
    breath_hz: float,
    chance: Chance,
) -> list[PlannedBeat]:
    mean_rr = 60.0 / heart.rate_per_min
    pr_s = heart.pr_ms / 1000.0
    beats: list[PlannedBeat] = []
    sinus_moment = moment
    rr_s = mean_rr
    while moment < duration_s + pr_s:
        beats.append(PlannedBeat(kind=BeatKind.SINUS, qrs_onset_s=moment, rr_s=rr_s, pr_s=pr_s))
        breath = np.sin(2.0 * np.pi * breath_hz * moment)
        usual_rr = mean_rr + heart.sinus_arrhythmia_ms / 1000.0 * breath
        usual_rr *= 1.0 + 0.008 * chance.normal(0.0, 1.0)
        luck = chance.uniform(0.0, 1.0)
        if luck < state.premature_ventricular_share:
            early = max(_REFRACTORY_RR_S, _COUPLING_OF_PREMATURE_BEATS * usual_rr)
            beats.append(
                PlannedBeat(
                    kind=BeatKind.VENTRICULAR_PREMATURE,
                    qrs_onset_s=moment + early,
                    rr_s=early,
                    pr_s=None,
                )
            )
            sinus_moment = moment + 2.0 * usual_rr
            rr_s = sinus_moment - moment - early
        elif luck < state.premature_ventricular_share + state.premature_atrial_share:
            early = max(_REFRACTORY_RR_S, 0.68 * usual_rr)
            beats.append(
                PlannedBeat(
                    kind=BeatKind.ATRIAL_PREMATURE,
                    qrs_onset_s=moment + early,
                    rr_s=early,
                    pr_s=pr_s * 1.05,
                )
            )
            sinus_moment = moment + early + 1.08 * usual_rr
            rr_s = 1.08 * usual_rr
        else:
            sinus_moment = moment + usual_rr
            rr_s = usual_rr
        moment = sinus_moment
    return beats


def _plan_fibrillation(
    heart: Heart, duration_s: float, moment: float, chance: Chance
) -> list[PlannedBeat]:
    beats: list[PlannedBeat] = []
    mean_rr = 60.0 / heart.rate_per_min
    rr_s = mean_rr
    while moment < duration_s:
        beats.append(PlannedBeat(kind=BeatKind.CONDUCTED, qrs_onset_s=moment, rr_s=rr_s, pr_s=None))
        rr_s = max(_REFRACTORY_RR_S, mean_rr * float(np.exp(chance.normal(-0.03, 0.24))))
        moment += rr_s
    return beats
