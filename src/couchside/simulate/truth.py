"""What is so in a simulated recording, against which a check or a measurement can be scored."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.recording import Placement
from couchside.simulate.cables import Cables
from couchside.simulate.electrodes import Contact, Fault
from couchside.simulate.heart.rhythm import BeatKind
from couchside.simulate.torso.sites import ElectrodeShift
from couchside.waves.model import WaveBounds

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OverallTruth:
    """Boundaries over all leads, for each beat, in samples; NaN where absent.

    Arrays of shape (beat,): the earliest onset and the latest offset in any lead [AHA2007-I].
    """

    p_onset: FloatArray
    p_offset: FloatArray
    qrs_onset: FloatArray
    qrs_offset: FloatArray
    t_offset: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class HeartTruth:
    """The numbers that the heart was set to; `qtc_ms` by Fridericia, `pr_ms` None without P.

    `qrs_axis_deg` is that of the net area in I and aVF as seen at the standard sites.
    """

    rate_per_min: float
    pr_ms: float | None
    p_ms: float | None
    qrs_ms: float
    qtc_ms: float
    qrs_axis_deg: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Truth:
    """The truth about one simulated recording.

    Parameters
    ----------
    heart : HeartTruth
        What the heart was set to.
    beat_samples : array of shape (beat,)
        Largest deflection of each QRS over all leads, in samples.
    beat_kinds : tuple of BeatKind
        Where each beat comes from.
    p, qrs, t : WaveBounds
        Arrays of shape (lead, beat) in samples, NaN where a wave is absent or cut off.
    overall : OverallTruth
        Boundaries over all leads.
    lone_p_onsets : array of shape (wave,)
        P waves that led to no beat, as in AV block, in samples.
    faults : tuple of Fault
        As put in.
    contacts : tuple of Contact
        Electrodes whose contact was not as usual.
    cables : mapping of Electrode to Electrode
        Displaced cables and the electrode that each hangs on.
    placement : Placement
        Where the electrodes really were, whatever the recording states.
    shifts : tuple of ElectrodeShift
        Electrodes beside their place.
    clean_microvolts : array of shape (lead, sample)
        The same leads before any noise, filter or rounding.
    electrode_noise_uv : array of shape (electrode, sample)
        What the electrodes added, in the order of `ELECTRODES`: background, contacts and faults;
        offsets are taken out. Where contact is lost, it takes the heart's own potential away.
    """

    heart: HeartTruth
    beat_samples: FloatArray
    beat_kinds: tuple[BeatKind, ...]
    p: WaveBounds
    qrs: WaveBounds
    t: WaveBounds
    overall: OverallTruth
    lone_p_onsets: FloatArray
    faults: tuple[Fault, ...]
    contacts: tuple[Contact, ...]
    cables: Cables
    placement: Placement
    shifts: tuple[ElectrodeShift, ...]
    clean_microvolts: FloatArray
    electrode_noise_uv: FloatArray


def overall_of(p: WaveBounds, qrs: WaveBounds, t: WaveBounds) -> OverallTruth:
    """Boundaries over all leads from those of each lead."""
    return OverallTruth(
        p_onset=_earliest(p.onset),
        p_offset=_latest(p.offset),
        qrs_onset=_earliest(qrs.onset),
        qrs_offset=_latest(qrs.offset),
        t_offset=_latest(t.offset),
    )


def _earliest(marks: FloatArray) -> FloatArray:
    found = np.where(np.isnan(marks), np.inf, marks).min(axis=0, initial=np.inf)
    return np.where(np.isinf(found), np.nan, found)


def _latest(marks: FloatArray) -> FloatArray:
    found = np.where(np.isnan(marks), -np.inf, marks).max(axis=0, initial=-np.inf)
    return np.where(np.isinf(found), np.nan, found)
