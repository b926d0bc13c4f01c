"""The few electrodes that account for a noise, found one after the other.

If only the electrodes S are at fault, the noise in the leads lies in the span of their columns of
the lead matrix, however their noises go together in time. So the share of the noise power inside
that span says how well S explains it; electrodes are added greedily as long as that share grows
[Mallat1993, orthogonal matching].
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.sources import list_sources, source_weights

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Blame:
    """Electrodes at fault.

    Parameters
    ----------
    sources : tuple of str
        Strongest first, as `couchside.quality.sources` names them; empty where no few explain the
        noise.
    source_rms_uv : array of shape (source,)
        Noise at each of them.
    share : float
        Share of the noise power that they explain, from 0 to 1.
    confidence : float
        How much of what the stronger ones leave is explained by the last of them, less how much
        the next best choice would explain of it.
    """

    sources: tuple[str, ...]
    source_rms_uv: FloatArray
    share: float
    confidence: float


def how_sure(margin: float) -> float:
    """How likely the electrode named is the right one, from the margin over the next best choice.

    Without a margin it is a coin toss between the two. How fast doubt goes as the margin grows was
    fitted (`thresholds.DOUBT_POWER`); docs/validation.md shows how well it holds.
    """
    lacking = 1.0 - min(max(margin, 0.0), 1.0)
    return min(1.0 - 0.5 * float(lacking**thresholds.DOUBT_POWER), thresholds.MOST_SURE)


def find_blame(covariance: FloatArray, leads: tuple[str, ...], least_uv: float) -> Blame:
    """Find the fewest electrodes that explain a noise.

    Parameters
    ----------
    covariance : array of shape (lead, lead)
        Noise covariance in µV² of independent leads.
    leads : tuple of str
        From `couchside.quality.sources.choose_leads`.
    least_uv : float
        Noise under this, rms in a lead, needs no explanation.

    Returns
    -------
    Blame
        Without electrodes where three explain too little, or another choice explains as much.
    """
    total = float(np.trace(covariance))
    if total <= 0.0:
        return NO_BLAME
    outside, left = source_weights(leads), covariance
    chosen: list[int] = []
    share, confidence = 0.0, 0.0
    for _ in range(min(thresholds.MOST_CULPRITS, outside.shape[1])):
        gains = _gains(outside, covariance) / total
        best = int(np.argmax(gains))
        gain, runner_up = float(gains[best]), float(np.delete(gains, best).max(initial=0.0))
        if gain < min(thresholds.LEAST_GAIN, thresholds.LEAST_OF_REST * (1.0 - share)):
            break
        confidence = (gain - runner_up) / max(1.0 - share, _TINY)
        share += gain
        chosen.append(best)
        direction = outside[:, best] / np.linalg.norm(outside[:, best])
        left = _take_out(direction, _take_out(direction, left).T)
        if left.diagonal().max() < least_uv**2:
            break
        outside = _take_out(direction, outside)
    if share < thresholds.LEAST_SHARE[len(chosen)] or confidence < thresholds.LEAST_MARGIN:
        return NO_BLAME
    return _as_blame(leads, chosen, covariance, (share, confidence))


def _gains(outside: FloatArray, covariance: FloatArray) -> FloatArray:
    """Noise power that each source adds to the span of the chosen ones, shape (source,).

    `outside` is what of each source's column lies outside that span, shape (lead, source).
    """
    lengths = np.sum(outside**2, axis=0)
    powers = np.sum((covariance @ outside) * outside, axis=0)
    gains: FloatArray = np.where(lengths < _TINY, 0.0, powers / np.maximum(lengths, _TINY))
    return gains


def _take_out(direction: FloatArray, columns: FloatArray) -> FloatArray:
    """What of each column is left without its part along a direction of length 1."""
    left: FloatArray = columns - np.outer(direction, direction @ columns)
    return left


def _as_blame(
    leads: tuple[str, ...], chosen: list[int], covariance: FloatArray, sure: tuple[float, float]
) -> Blame:
    sources = list_sources(leads)
    columns = source_weights(leads)[:, chosen]
    inverse = np.linalg.solve(columns.T @ columns, columns.T)
    power = np.maximum(np.diag(inverse @ covariance @ inverse.T), 0.0)
    order = np.argsort(-power)
    return Blame(
        sources=tuple(sources[chosen[each]] for each in order),
        source_rms_uv=np.sqrt(power[order]),
        share=sure[0],
        confidence=sure[1],
    )


_TINY = 1e-9
NO_BLAME = Blame(sources=(), source_rms_uv=np.zeros(0), share=0.0, confidence=0.0)
