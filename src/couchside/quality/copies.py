"""A chest lead that holds the samples of another lead, also scaled, upside down or late.

Two electrodes pick up the noise of their own skin, so that two leads never agree to the last step
of the resolution. A copy does, but for its own rounding. Which of two limb leads is a copy is told
by how limb leads add up, in `couchside.quality.identities`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.model import Finding, FindingKind, Hidden, Reading, Verdict
from couchside.quality.sources import ANY_CHEST_LEADS
from couchside.quality.wording import join_words
from couchside.recording import LIMB_LEADS, Recording
from couchside.waves.gaps import where_whole

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Copy:
    """Two leads that hold one signal: `second` is `factor` times `first`, `late_s` later."""

    first: str
    second: str
    factor: float
    late_s: float


def check_copies(
    recording: Recording, lost_leads: Iterable[str], wrong_leads: Iterable[str]
) -> tuple[Finding, ...]:
    """One finding for each pair of leads that hold one signal, a chest lead among them.

    Parameters
    ----------
    recording : Recording
    lost_leads : iterable of str
        Leads without a signal at some time, which are left out.
    wrong_leads : iterable of str
        Limb leads of which it is known that they are wrong; of a limb and a chest lead, the limb
        lead is then the copy, else the chest lead.
    """
    wrong = frozenset(wrong_leads)
    return tuple(_word(each, wrong) for each in find_copies(recording, lost_leads))


def find_copies(recording: Recording, lost_leads: Iterable[str]) -> Iterator[Copy]:
    """Pairs of leads that hold one signal.

    Leads that go up and down together are compared as they are; for a delay is looked only where
    two leads have one shape, that is one power of the rate of change over their power, which scale,
    sign and delay leave as it is.
    """
    signals = where_whole(recording.microvolts)
    if signals.shape[1] < recording.rate_hz:
        return
    longest = round(thresholds.COPY_DELAY_S * recording.rate_hz)
    together, like_shapes = _compare_all(signals, longest)
    worth_a_look = (together | like_shapes) & _pairs(recording.leads)
    lost = frozenset(lost_leads)
    for first, second in np.argwhere(worth_a_look).tolist():
        if lost & {recording.leads[first], recording.leads[second]}:
            continue
        one, other = signals[first], signals[second]
        late = 0 if together[first, second] else _find_delay(one, other, longest)
        factor = _find_factor(_shift(one, late), _shift(other, -late), recording)
        if factor is not None:
            yield Copy(
                first=recording.leads[first],
                second=recording.leads[second],
                factor=factor,
                late_s=late / recording.rate_hz,
            )


@lru_cache(maxsize=16)
def _pairs(leads: tuple[str, ...]) -> BoolArray:
    """A chest lead with any other lead of a known formula, once each, shape (lead, lead)."""
    known = np.array([name in _KNOWN_LEADS for name in leads])
    chest = np.array([name in ANY_CHEST_LEADS for name in leads])
    pairs: BoolArray = np.triu(np.outer(known, known) & (chest[:, None] | chest), 1)
    pairs.setflags(write=False)
    return pairs


def _compare_all(signals: FloatArray, longest: int) -> tuple[BoolArray, BoolArray]:
    """Which pairs go up and down together, and which have one shape, both (lead, lead).

    Neither for a lead with next to nothing in it, nor for one that never changes. The rate of
    change leaves both ends out: what a delay brings in there, a single jump perhaps, is of no
    other lead.
    """
    count = signals.shape[1]
    means = signals.mean(axis=1)
    moments = signals @ signals.T / count - np.outer(means, means)
    change = np.diff(signals[:, longest : count - longest], axis=1)
    work = np.einsum("ij,ij->i", change, change)
    power = np.diag(moments).copy()
    power[(power < thresholds.COPY_LEAST_UV**2) | (work == 0.0)] = np.nan
    shapes = work / power
    together = np.square(moments) > _ALIKE * np.outer(power, power)
    like_shapes = np.abs(shapes[:, None] / shapes - 1.0) <= _LIKE_SHAPE
    return together, like_shapes


def _find_delay(first: FloatArray, second: FloatArray, longest: int) -> int:
    """How many samples later the second is most like the first, either way up."""
    if first.shape[0] <= 4 * longest or longest == 0:
        return 0
    middle = first[longest:-longest]
    products = np.correlate(second, middle - middle.mean(), "valid")
    return int(np.argmax(np.abs(products))) - longest


def _shift(signal: FloatArray, late: int) -> FloatArray:
    """What of one signal has a partner in the other that comes so many samples later."""
    return signal[: len(signal) - late] if late >= 0 else signal[-late:]


def _find_factor(first: FloatArray, second: FloatArray, recording: Recording) -> float | None:
    """By what factor the second holds the first; None where more than rounding is left."""
    one, other = first - first.mean(), second - second.mean()
    work = float(one @ one)
    if work == 0.0:
        return None
    factor = float(one @ other) / work
    left_uv2 = max(float(other @ other) - factor**2 * work, 0.0) / len(other)
    step_uv = recording.settings.resolution_uv or thresholds.COPY_STEP_UV
    rounding_uv = step_uv * float(np.sqrt((1.0 + factor**2) / 12.0))
    return factor if left_uv2 <= (thresholds.COPY_OVER_ROUNDING * rounding_uv) ** 2 else None


def _word(copy: Copy, wrong: frozenset[str]) -> Finding:
    leads, sentence = _say(copy, wrong)
    return Finding(
        kind=FindingKind.LEAD_COPIED,
        asks=Verdict.KEEP_WITH_REMARK,
        sentence=f"{sentence}{_say_how(copy)}.",
        remedy=f"Do not read {join_words(leads)} as named; have the source of the file looked at.",
        confidence=thresholds.IDENTITY_CONFIDENCE,
        leads=leads,
        hides=(Hidden(what=Reading.EVERYTHING, leads=leads),),
    )


def _say(copy: Copy, wrong: frozenset[str]) -> tuple[tuple[str, ...], str]:
    """Leads that are not what they are called, and how that is told."""
    pair = (copy.first, copy.second)
    limb = next((name for name in pair if name in LIMB_LEADS), None)
    if limb is None:
        return pair, f"Leads {copy.first} and {copy.second} hold one signal; one of them is a copy"
    chest = pair[1] if pair[0] == limb else pair[0]
    copied, source = (limb, chest) if limb in wrong else (chest, limb)
    return (copied,), f"Lead {copied} is a copy of lead {source}"


def _say_how(copy: Copy) -> str:
    """How the copy was changed; nothing where it was not."""
    how = []
    if copy.factor < 0.0:
        how.append("upside down")
    if abs(abs(copy.factor) - 1.0) > _SAME_SIZE:
        how.append(f"{abs(copy.factor):.3g} times as high in {copy.second} as in {copy.first}")
    if copy.late_s:
        after = copy.second if copy.late_s > 0.0 else copy.first
        how.append(f"{1000.0 * abs(copy.late_s):.0f} ms later in {after}")
    return f" ({', '.join(how)})" if how else ""


_ALIKE = 0.99
_LIKE_SHAPE = 0.02
_SAME_SIZE = 0.01
_KNOWN_LEADS = ANY_CHEST_LEADS | {str(name) for name in LIMB_LEADS}
