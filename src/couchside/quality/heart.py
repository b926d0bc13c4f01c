"""The heart's own signal taken out, so that what is left may be weighed as noise."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.blame import find_blame
from couchside.quality.sources import choose_leads
from couchside.waves.cut_windows import view_windows
from couchside.waves.model import Waves
from couchside.waves.trim_beats import median_of_beats

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OddBeats:
    """Beats that are like too few others, by what makes them so; arrays of shape (beat,).

    Parameters
    ----------
    strangers : array of bool
        The heart's own: they keep their shape, and what is under them is not weighed.
    artefacts : array of bool
        No beats at all, but jumps of one electrode that were taken for one.
    """

    strangers: BoolArray
    artefacts: BoolArray


def find_odd_beats(beats: FloatArray, leads: tuple[str, ...], waves: Waves) -> OddBeats:
    """Tell beats of another shape from faults of one electrode.

    Parameters
    ----------
    beats : array of shape (lead, sample)
        The band in which the heart is.
    leads : tuple of str
        Names of the rows.
    waves : Waves
        Where the beats are, and which are alike.

    Returns
    -------
    OddBeats
        Where very many beats stand alone, noise makes them so, and none is odd. The heart never
        comes from one electrode, so what one electrode explains is a fault: either the whole of it,
        or the difference from the usual beat, which then is one with a fault on it.
    """
    strangers = _stand_alone(waves)
    usual, artefacts = np.zeros_like(strangers), np.zeros_like(strangers)
    if not strangers.any():
        return OddBeats(strangers=strangers, artefacts=artefacts)
    chosen = choose_leads(leads)
    usual_beats = waves.beat_samples[_are_usual(waves, strangers)]
    template = _median_beat(beats, usual_beats, waves)
    if template is not None and chosen is not None:
        rows = [leads.index(name) for name in chosen]
        before, after = (int(reach) for reach in _beat_reach(waves))
        near = np.round(np.array(_CORE_S) * waves.rate_hz).astype(np.int64)
        for place in np.flatnonzero(strangers):
            start = int(waves.beat_samples[place]) - before
            if start < 0 or start + before + after > beats.shape[1]:
                continue
            beat = beats[rows, start : start + before + after]
            core = beat[:, max(0, before - near[0]) : before + near[1]]
            artefacts[place] = _is_of_one_electrode(core, chosen)
            usual[place] = _is_of_one_electrode(beat - template[rows], chosen)
    return OddBeats(strangers=strangers & ~usual & ~artefacts, artefacts=artefacts)


_CORE_S = (thresholds.QRS_BEFORE_S, thresholds.QRS_AFTER_S)


def remove_beats(beats: FloatArray, waves: Waves, odd: OddBeats) -> FloatArray:
    """Subtract from each beat the median beat of its group.

    Parameters
    ----------
    beats : array of shape (lead, sample)
        The band in which the heart is.
    waves : Waves
        Where the beats are, and which are alike.
    odd : OddBeats
        Strangers and artefacts keep their shape; `quiet_samples` leaves the strangers out.

    Returns
    -------
    array of shape (lead, sample)
        What is left.
    """
    residual = beats.copy()
    rooms = _rooms(waves, beats.shape[1])
    for members in _groups(waves, odd.strangers | odd.artefacts):
        template = _median_beat(beats, waves.beat_samples[members], waves)
        if template is not None:
            _subtract(template, residual, waves.beat_samples[members], rooms[members], waves)
    return residual


def quiet_samples(sample_count: int, waves: Waves, odd: OddBeats) -> BoolArray:
    """Where no QRS stands and no stranger, shape (sample,).

    What only looked like a beat is weighed. The ends are left out, for a QRS that is cut there is
    not found.
    """
    quiet = np.ones(sample_count, dtype=bool)
    for reach, beats in (
        (_beat_reach(waves), waves.beat_samples[odd.strangers]),
        (_qrs_reach(waves), waves.beat_samples[~odd.artefacts]),
    ):
        for beat in beats.tolist():
            quiet[max(beat - reach[0], 0) : max(beat + reach[1], 0)] = False
    margin = round(thresholds.CUT_BEAT_S * waves.rate_hz)
    if 4 * margin < sample_count:
        quiet[:margin] = quiet[sample_count - margin :] = False
    return quiet


def _stand_alone(waves: Waves) -> BoolArray:
    """Beats of a group too small for a median; none where so many are that it must be noise."""
    if waves.beat_count == 0:
        return np.zeros(0, dtype=bool)
    sizes = np.bincount(waves.beat_groups)
    alone: BoolArray = sizes[waves.beat_groups] < thresholds.MIN_BEATS_FOR_TEMPLATE
    if alone.sum() > thresholds.MOST_BEATS_ALONE * len(alone):
        return np.zeros_like(alone)
    return alone


def _are_usual(waves: Waves, strangers: BoolArray) -> BoolArray:
    """Beats of the largest group; all where no group is large enough for a median."""
    sizes = np.bincount(waves.beat_groups[~strangers])
    if sizes.max(initial=0) < thresholds.MIN_BEATS_FOR_TEMPLATE:
        return np.ones_like(strangers)
    usual: BoolArray = waves.beat_groups == np.argmax(sizes)
    return usual


def _is_of_one_electrode(shape: FloatArray, leads: tuple[str, ...]) -> bool:
    blame = find_blame(shape @ shape.T, leads, inf)
    return len(blame.sources) == 1 and blame.share >= thresholds.FAULTY_BEAT_SHARE


def _groups(waves: Waves, strangers: BoolArray) -> list[BoolArray]:
    """Beats that share a median; those of small groups go with the usual ones."""
    usual = _are_usual(waves, strangers)
    others = ~strangers & ~usual
    large = []
    for group in np.flatnonzero(np.bincount(waves.beat_groups[others])):
        members = others & (waves.beat_groups == group)
        if members.sum() >= thresholds.MIN_BEATS_FOR_TEMPLATE:
            large.append(members)
            others &= ~members
    return [usual | others, *large]


def _beat_reach(waves: Waves) -> IntArray:
    """How far a whole beat reaches before and after the detection point, in samples."""
    reach_s = np.array([thresholds.BEAT_BEFORE_S, thresholds.BEAT_AFTER_S])
    return np.round(reach_s * waves.rate_hz).astype(np.int64)


def _median_beat(beats: FloatArray, fiducials: IntArray, waves: Waves) -> FloatArray | None:
    """Median of the whole beats among those given; None where they are too few."""
    before, after = (int(reach) for reach in _beat_reach(waves))
    whole = fiducials[(fiducials >= before) & (fiducials + after < beats.shape[1])]
    if len(whole) < thresholds.MIN_BEATS_FOR_TEMPLATE:
        return None
    chosen = whole[:: max(1, len(whole) // thresholds.MAX_BEATS_FOR_TEMPLATE)]
    return median_of_beats(view_windows(beats, chosen - before, before + after))


def _subtract(
    template: FloatArray, residual: FloatArray, fiducials: IntArray, rooms: IntArray, waves: Waves
) -> None:
    """Take a template out at each of its beats, as far as the beat reaches."""
    tapered = template * _taper(template.shape[1], waves.rate_hz)
    starts = fiducials - _beat_reach(waves)[0]
    firsts = np.maximum(starts, rooms[:, 0])
    lasts = np.minimum(starts + template.shape[1], rooms[:, 1])
    for start, first, last in zip(starts.tolist(), firsts.tolist(), lasts.tolist(), strict=True):
        if last > first:
            residual[:, first:last] -= tapered[:, first - start : last - start]


def _taper(length: int, rate_hz: float) -> FloatArray:
    """1 in the middle, falling to 0 at both ends, so that a template adds no jump."""
    ramp = min(max(1, round(thresholds.TAPER_S * rate_hz)), length // 2)
    taper = np.ones(length)
    taper[:ramp] = np.linspace(0.0, 1.0, ramp, endpoint=False)
    taper[length - ramp :] = taper[:ramp][::-1]
    return taper


def _rooms(waves: Waves, sample_count: int) -> IntArray:
    """From where to where each beat reaches, shape (beat, 2).

    Its neighbours' T and P come first where they overlap: the border lies where the earlier beat's
    T has ended, yet before the later beat's QRS.
    """
    after_t, before_p, before_qrs = (
        round(each_s * waves.rate_hz)
        for each_s in (thresholds.T_ENDS_S, thresholds.BEAT_BEFORE_S, thresholds.QRS_BEFORE_S)
    )
    earlier, later = waves.beat_samples[:-1], waves.beat_samples[1:]
    borders = np.maximum(later - before_p, np.minimum(earlier + after_t, later - before_qrs))
    return np.stack(
        (np.concatenate(([0], borders)), np.concatenate((borders, [sample_count]))), axis=1
    )


def _qrs_reach(waves: Waves) -> IntArray:
    """How far QRS reaches before and after the detection point, in samples."""
    before = thresholds.QRS_BEFORE_S * waves.rate_hz
    after = thresholds.QRS_AFTER_S * waves.rate_hz
    beat = waves.representative
    if beat is not None:
        margin = thresholds.QRS_MARGIN_S * waves.rate_hz
        onset = beat.fiducial_sample - beat.overall.qrs_onset + margin
        offset = beat.overall.qrs_offset - beat.fiducial_sample + margin
        before = float(np.fmax(before, onset))
        after = float(np.fmax(after, offset))
    return np.round([before, after]).astype(np.int64)
