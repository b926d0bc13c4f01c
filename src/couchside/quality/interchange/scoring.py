"""How well a recording fits usual hearts under every arrangement of its cables.

Under each arrangement the recording is put right by exact algebra, and what comes out is held
against usual hearts: in each place of P, QRS and ST–T the eight independent potentials follow a
multivariate t distribution whose tails are so heavy that a place which disease has changed
counts little more than one that is merely unusual. An exchange that loses nothing only trades
rows, so that no arrangement gains by shrinking the recording. Where an arrangement loses an
electrode, its potential is left free and the loss must show by itself: I, II or III flat, or a
chest lead that copies VF.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from couchside.quality.interchange.arrangements import (
    ARRANGEMENTS,
    RECORDED_ELECTRODES,
    Arrangement,
    ArrangementGroup,
)
from couchside.quality.interchange.features import P_PLACES, QRS_PLACES, T_PLACES, BeatFeatures
from couchside.quality.interchange.population import (
    Population,
    UsualHearts,
    get_caution,
    get_population,
)
from couchside.quality.interchange.signatures import signature_ratios
from couchside.quality.interchange.undoing import undoing_matrix

FloatArray = NDArray[np.float64]
Prior = Mapping[ArrangementGroup, float]
"""What each group must explain beyond "in place", as a natural logarithm."""

TAIL = 0.5
"""Degrees of freedom of the t distribution (chosen by cross-validation on the fitting half)."""
PLACE_WEIGHTS = np.repeat([1.0, 0.5, 0.35], [P_PLACES, QRS_PLACES, T_PLACES])
"""Neighbouring places tell the same thing again; those of P are fewer (chosen likewise)."""
TEMPERATURE = 3.0
"""Scores are divided by it before they become probabilities."""
EARLIER_KEPT = 2.3
"""Against an exchange in the earlier recording, natural logarithm: somebody kept it, so that ten to
one it is the right one of the two (by design)."""
SIGNATURE_LIMIT = 0.25
"""Residual share at which a flat lead or a copy begins to speak for a cable on the right leg. The
right leg's own few hundredths leave less, yet lead III of a usual heart may come down to 0.1, so
this weighs with the fit and decides nothing alone (chosen likewise, and on simulated people)."""
SIGNATURE_WEIGHT = 20.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EarlierEvidence:
    """What an earlier recording of the person says of the cables.

    Parameters
    ----------
    features : BeatFeatures
        Of the earlier recording.
    hung_now, hung_then : array of shape (arrangement,)
        How likely one beat is, given the other, had the cables hung so now, or then; natural
        logarithms in the order of `ARRANGEMENTS`, of which only differences mean anything.
    when : str
        Which recording it is, as a sentence names it: "of 2026-03-02 08:05".
    """

    features: BeatFeatures
    hung_now: FloatArray
    hung_then: FloatArray
    when: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ArrangementScores:
    """Every arrangement with its score.

    Parameters
    ----------
    arrangements : tuple of Arrangement
        As `ARRANGEMENTS`; the first is the right one.
    scores : array of shape (arrangement,)
        Logarithm of fit and rarity; only differences mean anything.
    probabilities : array of shape (arrangement,)
        That the cables hang so now; they add up to 1.
    best : Arrangement
        The right one, unless another explains so much more as its group must.
    best_then : Arrangement
        How the cables of the earlier recording seem to have hung; the right one without any.
    probability_then : float
        That they were displaced then and are not now; 0 without an earlier recording.
    """

    arrangements: tuple[Arrangement, ...]
    scores: FloatArray
    probabilities: FloatArray
    best: Arrangement
    best_then: Arrangement = ARRANGEMENTS[0]
    probability_then: float = 0.0

    @property
    def exchanged(self) -> bool:
        """Whether cables seem to hang on each other's electrodes."""
        return self.best.group is not ArrangementGroup.IN_PLACE

    @property
    def probability(self) -> float:
        """Of the best."""
        return float(self.probabilities[self.arrangements.index(self.best)])

    @property
    def ranked(self) -> tuple[tuple[Arrangement, float], ...]:
        """All with their probabilities, the likeliest first."""
        order = np.argsort(-self.probabilities, kind="stable")
        return tuple((self.arrangements[at], float(self.probabilities[at])) for at in order)


def score_arrangements(
    features: BeatFeatures, *, prior: Prior | None = None, earlier: EarlierEvidence | None = None
) -> ArrangementScores:
    """Score every arrangement of the cables.

    Parameters
    ----------
    features : BeatFeatures
        Of the recording in question.
    prior : mapping of ArrangementGroup to float, optional
        What each group must explain beyond "in place" before it is told; by default the fitted
        cautions.
    earlier : EarlierEvidence, optional
        Of an earlier recording of the same person. It speaks for an exchange now, for one then
        which is not held against the recording, or for none; an exchange that both show alike
        must stand on both as they are.

    Returns
    -------
    ArrangementScores
    """
    caution = get_caution() if prior is None else prior
    asked = np.array([caution.get(each.group, 0.0) for each in ARRANGEMENTS])
    asked_by_name = np.where(_LEFT_ARM_LEFT_LEG, caution.get(ArrangementGroup.LIMB, 0.0), asked)
    gained = _gain(features, asked)
    gained_then = np.full(len(ARRANGEMENTS), -np.inf)
    if earlier is not None:
        then = _gain(earlier.features, asked)
        gained_then = then + _against_first(earlier.hung_then) - TEMPERATURE * EARLIER_KEPT
        gained = np.maximum(gained + _against_first(earlier.hung_now), gained + then)
    now, before = (float(each[_EXCHANGED].max()) for each in (gained, gained_then))
    named = gained + asked - asked_by_name
    chance, chance_then, _ = _softmax(np.array([now, before, 0.0]) / TEMPERATURE)
    return ArrangementScores(
        arrangements=ARRANGEMENTS,
        scores=gained + asked,
        probabilities=_share_out(named, float(chance)),
        best=_best(named) if now > max(before, 0.0) else ARRANGEMENTS[0],
        best_then=_best(gained_then) if before > 0.0 else ARRANGEMENTS[0],
        probability_then=float(chance_then),
    )


def _gain(features: BeatFeatures, asked: FloatArray) -> FloatArray:
    """What each arrangement explains beyond "in place" and what it is asked for."""
    scores = score_against(features, get_population())
    gained: FloatArray = scores - scores[~_EXCHANGED].max() - asked
    return gained


def _against_first(log_likelihoods: FloatArray) -> FloatArray:
    """Against cables in place, in units of the scores."""
    against: FloatArray = TEMPERATURE * (log_likelihoods - log_likelihoods[0])
    return against


def _best(named: FloatArray) -> Arrangement:
    return ARRANGEMENTS[int(np.argmax(np.where(_EXCHANGED, named, -np.inf)))]


def _share_out(scores: FloatArray, exchanged: float) -> FloatArray:
    """Probabilities, given that of any exchange."""
    probabilities = np.zeros_like(scores)
    for members, whole in ((_EXCHANGED, exchanged), (~_EXCHANGED, 1.0 - exchanged)):
        probabilities[members] = whole * _softmax(scores[members] / TEMPERATURE)
    return probabilities


def _softmax(values: FloatArray) -> FloatArray:
    weights = np.exp(values - values.max())
    shares: FloatArray = weights / weights.sum()
    return shares


def score_against(features: BeatFeatures, hearts: UsualHearts) -> FloatArray:
    """Fit to usual hearts and rarity, before any caution.

    Parameters
    ----------
    features : BeatFeatures
        Of the recording.
    hearts : UsualHearts
        Of both widths of QRS.

    Returns
    -------
    array of shape (arrangement,)
        Logarithm of the density under each arrangement, with what flat leads and copies say.
    """
    population, unknown = hearts.like(features), features.unknown
    away = _undo_and_whiten(scale(features.potentials_uv), population)
    free, sizes = _free_directions(population, unknown)
    weights = PLACE_WEIGHTS.copy()
    if not features.has_p:
        weights[:P_PLACES] = 0.0
    squared = np.einsum("tai,tai->ta", away, away)
    squared -= (np.einsum("tai,ktai->kta", away, free) ** 2).sum(axis=0)
    freedom = TAIL + len(RECORDED_ELECTRODES) - 1 - len(unknown)
    misfit = weights @ (0.5 * freedom * np.log1p(squared / TAIL) + sizes)
    scores: FloatArray = _RARITY - misfit
    return scores + _read_signatures(features.potentials_uv)


def scale(potentials_uv: FloatArray) -> FloatArray:
    """In units of the rms of QRS over the potentials that are known; the others become 0.

    Parameters
    ----------
    potentials_uv : array of shape (…, electrode, place)
        NaN where not known.
    """
    unknown = np.isnan(potentials_uv)
    filled = np.where(unknown, 0.0, potentials_uv)
    qrs = filled[..., P_PLACES : P_PLACES + QRS_PLACES]
    known = 1.0 - unknown[..., P_PLACES].mean(axis=-1)
    power = (qrs**2).sum(axis=(-2, -1)) / (QRS_PLACES * np.maximum(known, 0.1))
    filled /= np.maximum(np.sqrt(power), 1e-9)[..., None, None]
    return filled


def _undo_and_whiten(scaled: FloatArray, population: Population) -> FloatArray:
    """How far from usual hearts, whitened, under each arrangement: (place, arrangement, 8)."""
    matrices, middle = _matrices(population)
    away = (matrices @ scaled.T[:, :, None])[:, :, 0].reshape(len(middle), len(ARRANGEMENTS), -1)
    away -= middle[:, None]
    return away


def _read_signatures(potentials_uv: FloatArray) -> FloatArray:
    """What flat leads and copies say for arrangements that lose an electrode, and against.

    Where one of the cables concerned cannot be read, it speaks against: nothing shows the loss.
    """
    ratios = np.maximum(np.nan_to_num(signature_ratios(potentials_uv), nan=1.0), 1e-3)
    said = SIGNATURE_WEIGHT * np.log(SIGNATURE_LIMIT / ratios)
    return np.where(_LOSSY, said, 0.0)


@lru_cache(maxsize=8)
def _matrices(population: Population) -> tuple[FloatArray, FloatArray]:
    """Undoing and whitening in one, (place, arrangement · 8, electrode); and the middle, whitened.

    One below the other, the arrangements of a place are one product.
    """
    whitening = population.whitening
    matrices = np.concatenate([whitening @ undoing for undoing in _UNDOING], axis=1)
    return matrices, np.einsum("tij,tj->ti", whitening, population.mean)


@lru_cache(maxsize=16)
def _free_directions(
    population: Population, unknown: tuple[int, ...]
) -> tuple[FloatArray, FloatArray]:
    """Directions in which nothing is known, and how wide usual hearts lie along them.

    Parameters
    ----------
    population : Population
        Usual hearts.
    unknown : tuple of int
        Rows of the cables that cannot be read: the sites that they hang on are summed over.

    Returns
    -------
    tuple of array
        Orthonormal directions, shape (direction, place, arrangement, 8), zero where an arrangement
        has fewer; and what the sum over the unknown sites adds to the misfit, shape (place,
        arrangement): the logarithm of the length, whitened, of one unit along them. An electrode
        that is lost adds it only in the place of a cable that cannot be read and tells nothing
        there.
    """
    places, whitened, _ = population.whitening.shape
    found = np.zeros((1 + len(unknown), places, len(ARRANGEMENTS), whitened))
    sizes = np.zeros(found.shape[1:3])
    for row, (each, undoing) in enumerate(zip(ARRANGEMENTS, _UNDOING, strict=True)):
        lost = [] if each.lost is None else [RECORDED_ELECTRODES.index(each.lost)]
        sites = np.flatnonzero(undoing[:, list(unknown)].any(axis=1)).tolist()
        bare = len(lost) + len(sites) - len(unknown)
        for number, site in enumerate([*lost, *sites]):
            column = population.whitening[:, :, site].copy()
            for other in found[:number, :, row]:
                column -= (column * other).sum(axis=1, keepdims=True) * other
            length = np.linalg.norm(column, axis=1, keepdims=True)
            found[number, :, row] = column / length
            if number >= bare:
                sizes[:, row] += np.log(length[:, 0])
    return found, sizes


_UNDOING = [undoing_matrix(each) for each in ARRANGEMENTS]
_LOSSY = np.array([each.lost is not None for each in ARRANGEMENTS])
_EXCHANGED = np.array([each.group is not ArrangementGroup.IN_PLACE for each in ARRANGEMENTS])
_LEFT_ARM_LEFT_LEG = np.array(
    [each.group is ArrangementGroup.LEFT_ARM_LEFT_LEG for each in ARRANGEMENTS]
)
"""It is asked for more only before anything is told, never in favour of another exchange."""
_RARITY = np.array([each.rarity for each in ARRANGEMENTS])
