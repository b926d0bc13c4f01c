"""Pacing spikes: impulses far narrower than anything that a heart makes.

An impulse of a pacemaker lasts some 0.1 to 2 ms [EC11]; a recorder's filters widen it to a few
milliseconds and let it ring. It goes up and comes back within the time in which a QRS has hardly
begun to turn, in many leads at once. So a spike is told by how far the signal departs from the
chord over 12 ms, compared with the steepest the signal is on either side: at the top of an R wave
the two are alike, at a spike the first is many times larger. A step, which does not come back, and
a glitch of one lead are none.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from weakref import WeakKeyDictionary

import numpy as np

from couchside.recording import Recording
from couchside.waves.clip import clip
from couchside.waves.filters import BoolArray
from couchside.waves.medians import median_of_rows
from couchside.waves.model import FloatArray, IntArray, Waves

SLOWEST_HZ = 240.0
"""Slower recordings do not tell a spike from an R wave."""
REACH_S = 0.006
"""From the spike to either end of the chord."""
LEAST_UV, LEAST_OVER_USUAL = 80.0, 5.0
"""Departure from the chord, rms over the leads, and over its median in the recording, which is that
of the noise. The largest notch in a QRS of the tuning recordings has 77 µV."""
LEAST_CONTRAST = 1.5
"""Departure over steepness on either side: 1 at the top of a triangle. On the tuning recordings a
QRS has 0.3 to 0.8, a spike 1.7 to 37, two of them a hundredth of a second apart 1.1 to 1.9."""
LEAST_RETURN = 1.0
"""Departure over the height of the chord, which for a step is 0.5."""
LEAD_SHARE, LEAST_LEADS = 1.0 / 3.0, 3
"""So many leads depart from their chord, by `OWN_SHARE` of `LEAST_UV` each."""
OWN_SHARE = 0.5
_JOIN_S, _RING_S, _RING_SHARE = 0.012, 0.020, 0.08
"""Departures so near each other are one spike; it lasts as long as the departure stays above such a
share of its largest, and so long at most on either side."""

BEFORE_BEAT_S, AFTER_BEAT_S = 0.35, 0.04
"""A spike that paces stands so long before the beat's detection point at most, or so long after."""
KEEPS_STEP_S = 0.016
LEAST_SPIKES = 3
LEAST_SHARE = 0.6
"""Of all that departs: so much of it keeps step with beats. Pops of an electrode come at any
time."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spikes:
    """Impulses in order of time.

    Parameters
    ----------
    samples : integer array of shape (spike,)
        Where each is largest.
    starts, stops : integer arrays of shape (spike,)
        First sample that it touches, and the first after it.
    sizes_uv : array of shape (lead, spike)
        Departure from the chord, with its sign.
    """

    samples: IntArray
    starts: IntArray
    stops: IntArray
    sizes_uv: FloatArray

    @property
    def count(self) -> int:
        """How many spikes there are."""
        return int(self.samples.shape[0])


_found: WeakKeyDictionary[Recording, Spikes] = WeakKeyDictionary()
"""What was found in recordings that are still at hand; none is kept for its sake."""


def find_spikes(recording: Recording) -> Spikes:
    """Impulses that many leads hold at once, whatever made them.

    Parameters
    ----------
    recording : Recording
        Any leads and length; below `SLOWEST_HZ` no spike is found.

    Returns
    -------
    Spikes
        In samples of the recording.

    Notes
    -----
    A spike buried in a QRS that is steeper than itself is not found, nor one that the recorder's
    filters took away. Who delineates and who weighs the noise ask one after the other of the same
    recording, so that the answer is kept as long as the recording is.
    """
    spikes = _found.get(recording)
    if spikes is None:
        spikes = _found[recording] = _search(recording)
    return spikes


def _search(recording: Recording) -> Spikes:
    reach = int(np.ceil(REACH_S * recording.rate_hz))
    if recording.rate_hz < SLOWEST_HZ or recording.sample_count <= 6 * reach:
        return _no_spikes(len(recording.leads))
    signal = recording.microvolts
    if np.isnan(signal.sum()):
        signal = np.nan_to_num(signal)
    size = _measure_departures(signal, reach)
    level = max(LEAST_UV, LEAST_OVER_USUAL * float(median_of_rows(size)))
    places = np.flatnonzero(size > level)
    places = places[_is_spike(signal, places, reach)]
    if places.size == 0:
        return _no_spikes(signal.shape[0])
    groups = np.split(places, np.flatnonzero(np.diff(places) > _JOIN_S * recording.rate_hz) + 1)
    samples = np.array([group[np.argmax(size[group])] for group in groups], dtype=np.int64)
    extents = [_extent(size, group, recording.rate_hz) for group in groups]
    starts, stops = np.array(extents, dtype=np.int64).T
    return Spikes(
        samples=samples, starts=starts, stops=stops, sizes_uv=_depart(signal, samples, reach)
    )


def bridge_spikes(recording: Recording, spikes: Spikes) -> Recording:
    """The recording with a straight line in the place of every spike.

    Parameters
    ----------
    recording : Recording
        Whose spikes these are.
    spikes : Spikes
        From `find_spikes`.

    Returns
    -------
    Recording
        The same one where there are none.
    """
    if spikes.count == 0:
        return recording
    microvolts = recording.microvolts.copy()
    for start, stop in zip(spikes.starts.tolist(), spikes.stops.tolist(), strict=True):
        ends = microvolts[:, [start - 1, stop]]
        share = np.arange(1, stop - start + 1) / (stop - start + 1)
        microvolts[:, start:stop] = ends[:, :1] + (ends[:, 1:] - ends[:, :1]) * share
    return replace(recording, microvolts=microvolts)


def find_pacing_spikes(recording: Recording, waves: Waves) -> Spikes:
    """The spikes that keep step with beats, before a QRS or a P wave.

    Parameters
    ----------
    recording : Recording
        The samples.
    waves : Waves
        From `delineate` of the same recording.

    Returns
    -------
    Spikes
        None of them where fewer than `LEAST_SPIKES` keep step, or less than `LEAST_SHARE` of their
        sizes added up: then they are pops or glitches. Spikes that pace nothing are not told from
        those.
    """
    spikes = find_spikes(recording)
    keeps = _keep_step(spikes.samples, waves.beat_samples, recording.rate_hz)
    size = np.abs(spikes.sizes_uv).sum(axis=0)
    if keeps.sum() < LEAST_SPIKES or size[keeps].sum() < LEAST_SHARE * size.sum():
        return _no_spikes(len(recording.leads))
    return Spikes(
        samples=spikes.samples[keeps],
        starts=spikes.starts[keeps],
        stops=spikes.stops[keeps],
        sizes_uv=spikes.sizes_uv[:, keeps],
    )


def _measure_departures(signal: FloatArray, reach: int) -> FloatArray:
    """From the chord between the samples on either side, rms over leads, (sample,); 0 at the ends.

    Lead by lead, as a row of a 10 s recording stays in the nearest memory.
    """
    power = np.zeros(signal.shape[1])
    for row in signal:
        rises = row[reach:] - row[:-reach]
        departures = rises[:-reach] - rises[reach:]
        power[reach:-reach] += departures * departures
    size: FloatArray = np.sqrt(power / (4.0 * signal.shape[0]))
    return size


def _depart(signal: FloatArray, places: IntArray, reach: int) -> FloatArray:
    """Departure from the chord in each lead, shape (lead, place)."""
    departures: FloatArray = signal[:, places] - 0.5 * (
        signal[:, places - reach] + signal[:, places + reach]
    )
    return departures


def _is_spike(signal: FloatArray, places: IntArray, reach: int) -> BoolArray:
    """Whether the signal is narrow, comes back, and does so in many leads, shape (place,)."""
    around = clip(places + reach * np.arange(-3, 4)[:, None], 0, signal.shape[1] - 1)
    levels = signal[:, around]
    steps = _rms(levels[:, 1:] - levels[:, :-1])
    departures = _depart(signal, places, reach)
    size, chord = _rms(departures), _rms(levels[:, 4] - levels[:, 2])
    narrow = size > LEAST_CONTRAST * steps[[0, 1, 4, 5]].max(axis=0, initial=0.0)
    leads = (np.abs(departures) > OWN_SHARE * LEAST_UV).sum(axis=0)
    least = min(max(LEAST_LEADS, LEAD_SHARE * signal.shape[0]), signal.shape[0])
    is_spike: BoolArray = narrow & (size > LEAST_RETURN * chord) & (leads >= least)
    return is_spike


def _rms(values: FloatArray) -> FloatArray:
    """Over the leads, which stand first."""
    root: FloatArray = np.sqrt(np.mean(values**2, axis=0))
    return root


def _extent(size: FloatArray, group: IntArray, rate_hz: float) -> tuple[int, int]:
    """First sample of a spike and the first after it, its ringing included."""
    ring = round(_RING_S * rate_hz)
    level = max(_RING_SHARE * float(size[group].max()), 0.5 * LEAST_UV)
    first, last = int(group[0]), int(group[-1])
    before = size[max(first - ring, 0) : first][::-1] < level
    after = size[last + 1 : last + 1 + ring] < level
    start = first - (int(np.argmax(before)) if before.any() else before.shape[0])
    stop = last + 1 + (int(np.argmax(after)) if after.any() else after.shape[0])
    return max(start, 1), min(stop, size.shape[0] - 1)


def _keep_step(samples: IntArray, beats: IntArray, rate_hz: float) -> BoolArray:
    """Whether a spike stands as long before its beat as `LEAST_SPIKES` in all do, (spike,)."""
    if samples.size == 0 or beats.size == 0:
        return np.zeros(samples.shape[0], dtype=np.bool_)
    following = np.searchsorted(beats, samples - AFTER_BEAT_S * rate_hz)
    lags = beats[np.minimum(following, beats.shape[0] - 1)] - samples
    near = (lags <= BEFORE_BEAT_S * rate_hz) & (lags >= -AFTER_BEAT_S * rate_hz)
    alike = np.abs(lags[:, None] - lags) <= KEEPS_STEP_S * rate_hz
    keeps: BoolArray = near & ((alike & near).sum(axis=1) >= LEAST_SPIKES)
    return keeps


def _no_spikes(lead_count: int) -> Spikes:
    none = np.empty(0, dtype=np.int64)
    return Spikes(samples=none, starts=none, stops=none, sizes_uv=np.empty((lead_count, 0)))
