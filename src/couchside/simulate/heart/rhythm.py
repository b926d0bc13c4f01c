"""When the beats come: the plan of a recording before any of it is drawn."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from couchside.simulate.chance import Chance
from couchside.simulate.heart.state import AvBlock, HeartState, Rhythm
from couchside.simulate.heart.traits import Heart

LEAD_IN_S = 3.0
"""Beats are planned from before the recording, so that none is missing at its start."""

_SHORTEST_RR_S = 0.30
_VENTRICULAR_COUPLING = 0.62
_ATRIAL_COUPLING = 0.68
_ATRIAL_PAUSE = 1.08
_ESCAPE_PER_MIN = 42.0
_RR_NOISE = 0.008
_SLOW_HZ = 0.1
_SLOW_SHARE = 0.5
"""The heart rate also swings about every ten seconds, with the blood pressure [from memory]."""
_FIBRILLATION_LOG_SD = 0.22
_FLUTTER_SHARES = (2, 2, 4, 2, 3, 4)


class BeatKind(StrEnum):
    """Where a beat of the ventricles comes from."""

    SINUS = "sinus"
    ATRIAL_PREMATURE = "atrial premature"
    VENTRICULAR_PREMATURE = "ventricular premature"
    FIBRILLATION = "conducted from atrial fibrillation"
    FLUTTER = "conducted from atrial flutter"
    ESCAPE = "junctional escape"
    PACED = "ventricular paced"


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
        From the onset of the P wave that led to it; None where none did.
    """

    kind: BeatKind
    qrs_onset_s: float
    rr_s: float
    pr_s: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Beats of the ventricles, and P waves that led to none.

    Parameters
    ----------
    beats : tuple of PlannedBeat
        In order of time.
    lone_p_onsets_s : tuple of float
        Blocked or dissociated P waves.
    """

    beats: tuple[PlannedBeat, ...]
    lone_p_onsets_s: tuple[float, ...] = ()


def plan_beats(
    heart: Heart, state: HeartState, *, duration_s: float, breath_hz: float, chance: Chance
) -> Plan:
    """Everything that beats from before the start of a recording to its end.

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
    pace = _Pace(heart=heart, breath_hz=breath_hz, end_s=duration_s + 1.0, chance=chance)
    if state.rhythm is Rhythm.ATRIAL_FIBRILLATION:
        return _fibrillation(pace)
    if state.rhythm is Rhythm.ATRIAL_FLUTTER:
        return _flutter(pace)
    if state.rhythm is Rhythm.VENTRICULAR_PACED:
        return _paced(pace)
    if state.av_block in {AvBlock.NONE, AvBlock.FIRST_DEGREE}:
        return _sinus(pace, state)
    if state.av_block is AvBlock.THIRD_DEGREE:
        return _dissociated(pace)
    return _dropping(pace, state.av_block)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pace:
    heart: Heart
    breath_hz: float
    end_s: float
    chance: Chance

    @property
    def mean_rr_s(self) -> float:
        return 60.0 / self.heart.rate_per_min

    @property
    def pr_s(self) -> float:
        return self.heart.pr_ms / 1000.0

    def first(self) -> float:
        return -LEAD_IN_S + self.chance.uniform(0.0, self.mean_rr_s)

    def next_rr(self, moment: float) -> float:
        """The next sinus interval: breathing moves it, a slower wave, and a little chance."""
        breath = float(np.sin(2.0 * np.pi * self.breath_hz * moment))
        breath += _SLOW_SHARE * float(np.sin(2.0 * np.pi * _SLOW_HZ * moment + 1.0))
        swing = min(self.heart.sinus_arrhythmia_ms / 1000.0, 0.2 * self.mean_rr_s)
        luck = 1.0 + _RR_NOISE * self.chance.normal(0.0, 1.0)
        return max(_SHORTEST_RR_S * 0.7, (self.mean_rr_s + swing * breath) * luck)


def _sinus(pace: _Pace, state: HeartState) -> Plan:
    beats: list[PlannedBeat] = []
    moment, rr_s = pace.first(), pace.mean_rr_s
    while moment < pace.end_s:
        beats.append(_beat(BeatKind.SINUS, moment, rr_s, pace.pr_s))
        rr_s = pace.next_rr(moment)
        early = _early_beat(pace, state, moment, rr_s)
        if early is None:
            moment += rr_s
            continue
        beats.append(early)
        ventricular = early.kind is BeatKind.VENTRICULAR_PREMATURE
        after = moment + 2.0 * rr_s if ventricular else early.qrs_onset_s + _ATRIAL_PAUSE * rr_s
        moment, rr_s = after, after - early.qrs_onset_s
    return Plan(beats=tuple(beats))


def _early_beat(pace: _Pace, state: HeartState, moment: float, rr_s: float) -> PlannedBeat | None:
    luck = pace.chance.uniform(0.0, 1.0)
    early = 1.0 + 0.04 * pace.chance.normal(0.0, 1.0)
    if luck < state.premature_ventricular_share:
        rr_early = max(_SHORTEST_RR_S, _VENTRICULAR_COUPLING * early * rr_s)
        return _beat(BeatKind.VENTRICULAR_PREMATURE, moment + rr_early, rr_early, None)
    if luck < state.premature_ventricular_share + state.premature_atrial_share:
        rr_early = max(_SHORTEST_RR_S, _ATRIAL_COUPLING * early * rr_s)
        return _beat(BeatKind.ATRIAL_PREMATURE, moment + rr_early, rr_early, pace.pr_s * 1.05)
    return None


def _fibrillation(pace: _Pace) -> Plan:
    beats: list[PlannedBeat] = []
    moment, rr_s = pace.first(), pace.mean_rr_s
    while moment < pace.end_s:
        beats.append(_beat(BeatKind.FIBRILLATION, moment, rr_s, None))
        luck = pace.chance.normal(-0.5 * _FIBRILLATION_LOG_SD**2, _FIBRILLATION_LOG_SD)
        rr_s = max(_SHORTEST_RR_S, pace.mean_rr_s * float(np.exp(luck)))
        moment += rr_s
    return Plan(beats=tuple(beats))


def _flutter(pace: _Pace) -> Plan:
    """Every second, third or fourth flutter wave is conducted."""
    beats: list[PlannedBeat] = []
    wave_s = pace.mean_rr_s / float(np.mean(_FLUTTER_SHARES))
    moment, rr_s = pace.first(), pace.mean_rr_s
    while moment < pace.end_s:
        beats.append(_beat(BeatKind.FLUTTER, moment, rr_s, None))
        share = _FLUTTER_SHARES[int(pace.chance.uniform(0.0, len(_FLUTTER_SHARES)))]
        rr_s = max(_SHORTEST_RR_S, share * wave_s)
        moment += rr_s
    return Plan(beats=tuple(beats))


def _paced(pace: _Pace) -> Plan:
    """The ventricles follow the pacemaker; the atria go their own way."""
    beats: list[PlannedBeat] = []
    moment = pace.first()
    while moment < pace.end_s:
        beats.append(_beat(BeatKind.PACED, moment, pace.mean_rr_s, None))
        moment += pace.mean_rr_s
    return Plan(beats=tuple(beats), lone_p_onsets_s=_free_atria(pace, pace.mean_rr_s * 0.83))


def _dissociated(pace: _Pace) -> Plan:
    beats: list[PlannedBeat] = []
    rr_s = 60.0 / _ESCAPE_PER_MIN
    moment = -LEAD_IN_S + pace.chance.uniform(0.0, rr_s)
    while moment < pace.end_s:
        beats.append(_beat(BeatKind.ESCAPE, moment, rr_s, None))
        moment += rr_s * (1.0 + 0.006 * pace.chance.normal(0.0, 1.0))
    return Plan(beats=tuple(beats), lone_p_onsets_s=_free_atria(pace, pace.mean_rr_s))


def _free_atria(pace: _Pace, mean_rr_s: float) -> tuple[float, ...]:
    onsets: list[float] = []
    moment = pace.first()
    while moment < pace.end_s:
        onsets.append(moment)
        moment += mean_rr_s * (1.0 + 0.015 * pace.chance.normal(0.0, 1.0))
    return tuple(onsets)


def _dropping(pace: _Pace, block: AvBlock) -> Plan:
    """Type 1: PR grows until a beat is dropped, 4 to 3. Type 2: PR stays, 3 to 2."""
    waits = (0.0, 0.09, 0.14) if block is AvBlock.SECOND_DEGREE_TYPE_1 else (0.0, 0.0)
    beats: list[PlannedBeat] = []
    lone: list[float] = []
    onset, place, before = pace.first() - pace.pr_s, 0, None
    while onset < pace.end_s:
        if place < len(waits):
            pr_s = pace.pr_s + waits[place]
            moment = onset + pr_s
            rr_s = pace.mean_rr_s if before is None else moment - before
            beats.append(_beat(BeatKind.SINUS, moment, rr_s, pr_s))
            before = moment
        else:
            lone.append(onset)
        place = (place + 1) % (len(waits) + 1)
        onset += pace.next_rr(onset)
    return Plan(beats=tuple(beats), lone_p_onsets_s=tuple(lone))


def _beat(kind: BeatKind, moment: float, rr_s: float, pr_s: float | None) -> PlannedBeat:
    return PlannedBeat(kind=kind, qrs_onset_s=moment, rr_s=rr_s, pr_s=pr_s)
