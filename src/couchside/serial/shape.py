"""The shape of one heart's beat: QRS against time, ST and T against their own length, P likewise.

A T that is stretched with the rate is the same T, so that ST-T and P are sampled from their onset
to their end, whereas QRS hardly follows the rate and is sampled in milliseconds.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from couchside.recording import INDEPENDENT_LEADS
from couchside.serial.model import FloatArray
from couchside.waves import RepresentativeBeat

QRS_TIMES_MS = np.arange(-60.0, 72.0, 4.0)
"""From 60 ms before the middle of QRS to 68 ms behind it."""
ST_T_SAMPLES = 24
P_SAMPLES = 16
AFTER_J_MS = 20.0
"""ST-T begins here: just at J a millisecond more or less of QRS would count for much."""
USUAL_ST_T_MS = 280.0
"""From J to the end of T where that end was not found."""
LAGS_MS = (-16.0, -12.0, -8.0, -4.0, 0.0, 4.0, 8.0, 12.0, 16.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BeatShape:
    """Waves of the eight independent leads, in µV.

    Parameters
    ----------
    qrs_by_lag : array of shape (lag, lead, sample)
        QRS, shifted by each of `LAGS_MS`.
    st_t : array of shape (lead, sample)
        From 20 ms after J to the end of T.
    p : array of shape (lead, sample) or None
        Above the straight line from its onset to its end; None where no P was found.
    """

    qrs_by_lag: FloatArray
    st_t: FloatArray
    p: FloatArray | None

    @property
    def qrs(self) -> FloatArray:
        """QRS where it stands."""
        still: FloatArray = self.qrs_by_lag[LAGS_MS.index(0.0)]
        return still


def find_shape(beat: RepresentativeBeat | None) -> BeatShape | None:
    """The shape of a representative beat; None without QRS boundaries or one of the eight leads."""
    if beat is None or not all(lead in beat.leads for lead in INDEPENDENT_LEADS):
        return None
    onset, offset = beat.overall.qrs_onset, beat.overall.qrs_offset
    if not onset < offset:
        return None
    samples = beat.microvolts[[beat.leads.index(lead) for lead in INDEPENDENT_LEADS]]
    if not np.isfinite(samples).all():
        return None
    middle_ms = find_middle_ms(beat)
    end_ms = _find_t_end_ms(beat)
    return BeatShape(
        qrs_by_lag=np.stack(
            [_read(samples, beat, middle_ms + lag + QRS_TIMES_MS) for lag in LAGS_MS]
        ),
        st_t=_read(
            samples,
            beat,
            np.linspace(offset * _ms(beat) + AFTER_J_MS, end_ms, ST_T_SAMPLES),
        ),
        p=_find_p(samples, beat),
    )


def find_middle_ms(beat: RepresentativeBeat) -> float:
    """Centre of the power of QRS over all leads, in ms from the start of the beat.

    It needs no boundary to a millisecond and hardly minds noise, so that two beats are aligned by
    it before the best lag is looked for.
    """
    first, last = int(beat.overall.qrs_onset), int(beat.overall.qrs_offset) + 1
    power = (np.nan_to_num(beat.microvolts[:, first:last]) ** 2).sum(axis=0)
    places = np.arange(first, first + power.shape[0])
    total = float(power.sum())
    middle = float(power @ places) / total if total > 0.0 else (first + last) / 2
    return middle * _ms(beat)


def _ms(beat: RepresentativeBeat) -> float:
    return 1000.0 / beat.rate_hz


def _read(samples: FloatArray, beat: RepresentativeBeat, times_ms: FloatArray) -> FloatArray:
    """Values between samples on straight lines, shape (lead, time)."""
    places = times_ms / _ms(beat)
    grid = np.arange(samples.shape[1])
    return np.array([np.interp(places, grid, row) for row in samples])


def _find_t_end_ms(beat: RepresentativeBeat) -> float:
    end, offset = beat.overall.t_offset, beat.overall.qrs_offset
    return (end if np.isfinite(end) else offset + USUAL_ST_T_MS / _ms(beat)) * _ms(beat)


def _find_p(samples: FloatArray, beat: RepresentativeBeat) -> FloatArray | None:
    onset, offset = beat.overall.p_onset, beat.overall.p_offset
    if not onset < offset:
        return None
    wave = _read(samples, beat, np.linspace(onset, offset, P_SAMPLES) * _ms(beat))
    line = np.linspace(0.0, 1.0, P_SAMPLES)
    above: FloatArray = wave - (wave[:, :1] + (wave[:, -1:] - wave[:, :1]) * line)
    return above
