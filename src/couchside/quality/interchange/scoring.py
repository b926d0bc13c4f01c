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
OWN_SPREAD = 0.08
"""Spread of one person's recordings as a share of that of people (variances; by design)."""
EARLIER_WEIGHT = 0.5
SIGNATURE_LIMIT = 0.25
"""Residual share at which a flat lead or a copy begins to speak for a cable on the right leg. The
right leg's own few hundredths leave less, yet lead III of a usual heart may come down to 0.1, so
this weighs with the fit and decides nothing alone (chosen likewise, and on simulated people)."""
SIGNATURE_WEIGHT = 20.0


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
        They add up to 1.
    best : Arrangement
        The right one, unless another explains so much more as its group must.
    """

    arrangements: tuple[Arrangement, ...]
    scores: FloatArray
    probabilities: FloatArray
    best: Arrangement

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
    features: BeatFeatures, *, prior: Prior | None = None, earlier: BeatFeatures | None = None
) -> ArrangementScores:
    """Score every arrangement of the cables.

    Parameters
    ----------
    features : BeatFeatures
        Of the recording in question.
    prior : mapping of ArrangementGroup to float, optional
        What each group must explain beyond "in place" before it is told; by default the fitted
        cautions.
    earlier : BeatFeatures, optional
        Of an earlier recording of the same person, taken to be rightly recorded.

    Returns
    -------
    ArrangementScores
    """
    scores = score_against(features, get_population())
    if earlier is not None:
        scores = scores - _misfit_to_earlier(features, earlier)
    caution = get_caution() if prior is None else prior
    asked = np.array([caution.get(each.group, 0.0) for each in ARRANGEMENTS])
    margin = float((scores - asked)[_EXCHANGED].max() - scores[~_EXCHANGED].max())
    asked[_LEFT_ARM_LEFT_LEG] = caution.get(ArrangementGroup.LIMB, 0.0)
    named = scores - asked
    return ArrangementScores(
        arrangements=ARRANGEMENTS,
        scores=scores,
        probabilities=_share_out(named, _logistic(margin / TEMPERATURE)),
        best=ARRANGEMENTS[int(np.argmax(np.where(_EXCHANGED, named, -np.inf)))]
        if margin > 0.0
        else ARRANGEMENTS[0],
    )


def _share_out(scores: FloatArray, exchanged: float) -> FloatArray:
    """Probabilities, given that of any exchange."""
    probabilities = np.zeros_like(scores)
    for members, whole in ((_EXCHANGED, exchanged), (~_EXCHANGED, 1.0 - exchanged)):
        weights = np.exp((scores[members] - scores[members].max()) / TEMPERATURE)
        probabilities[members] = whole * weights / weights.sum()
    return probabilities


def _logistic(value: float) -> float:
    return float(1.0 / (1.0 + np.exp(-np.clip(value, -50.0, 50.0))))


def score_against(features: BeatFeatures, population: Population) -> FloatArray:
    """Fit to a population and rarity, before any caution.

    Parameters
    ----------
    features : BeatFeatures
        Of the recording.
    population : Population
        Usual hearts.

    Returns
    -------
    array of shape (arrangement,)
        Logarithm of the density under each arrangement, with what flat leads and copies say.
    """
    middle = np.einsum("tij,tj->ti", population.whitening, population.mean)
    away = _undo_and_whiten(scale(features.potentials_uv), population) - middle
    if not features.has_p:
        away[:, :P_PLACES] = 0.0
    scores: FloatArray = _RARITY - _weigh(_squared(away, population))
    return scores + _read_signatures(features.potentials_uv)


def _misfit_to_earlier(features: BeatFeatures, earlier: BeatFeatures) -> FloatArray:
    population = get_population()
    own = np.einsum("tij,jt->ti", population.whitening, scale(earlier.potentials_uv))
    away = _undo_and_whiten(scale(features.potentials_uv), population) - own
    if not (features.has_p and earlier.has_p):
        away[:, :P_PLACES] = 0.0
    return EARLIER_WEIGHT * _weigh(_squared(away, population) / OWN_SPREAD)


def scale(potentials_uv: FloatArray) -> FloatArray:
    """In units of the rms of QRS over the nine potentials."""
    qrs = potentials_uv[:, P_PLACES : P_PLACES + QRS_PLACES]
    size = float(np.sqrt((qrs**2).sum() / QRS_PLACES))
    scaled: FloatArray = potentials_uv / max(size, 1e-9)
    return scaled


def _weigh(squared: FloatArray) -> FloatArray:
    """From squared distances of shape (arrangement, place) to one misfit for each arrangement."""
    dimensions = len(RECORDED_ELECTRODES) - 1
    tails = 0.5 * (TAIL + dimensions) * np.log1p(squared / TAIL)
    total: FloatArray = tails @ PLACE_WEIGHTS
    return total


def _undo_and_whiten(scaled: FloatArray, population: Population) -> FloatArray:
    undone, _ = _matrices(population)
    product: FloatArray = np.einsum("atij,jt->ati", undone, scaled, optimize=True)
    return product


def _squared(away: FloatArray, population: Population) -> FloatArray:
    """Squared length, without the direction in which a lost electrode moves it."""
    _, free = _matrices(population)
    along = np.einsum("ati,ati->at", away, free)
    squared: FloatArray = np.einsum("ati,ati->at", away, away) - along**2
    return squared


def _read_signatures(potentials_uv: FloatArray) -> FloatArray:
    """What flat leads and copies say for arrangements that lose an electrode, and against."""
    ratios = np.maximum(signature_ratios(potentials_uv), 1e-3)
    said = SIGNATURE_WEIGHT * np.log(SIGNATURE_LIMIT / ratios)
    return np.where(_LOSSY, said, 0.0)


@lru_cache(maxsize=8)
def _matrices(population: Population) -> tuple[FloatArray, FloatArray]:
    """Undoing and whitening in one, (arrangement, place, 8, electrode); directions of the lost."""
    whitening = population.whitening
    undone = np.array([whitening @ undoing_matrix(each) for each in ARRANGEMENTS])
    free = np.zeros(undone.shape[:3])
    for row, each in enumerate(ARRANGEMENTS):
        if each.lost is not None:
            column = whitening[:, :, RECORDED_ELECTRODES.index(each.lost)]
            free[row] = column / np.linalg.norm(column, axis=1, keepdims=True)
    return undone, free


_LOSSY = np.array([each.lost is not None for each in ARRANGEMENTS])
_EXCHANGED = np.array([each.group is not ArrangementGroup.IN_PLACE for each in ARRANGEMENTS])
_LEFT_ARM_LEFT_LEG = np.array(
    [each.group is ArrangementGroup.LEFT_ARM_LEFT_LEG for each in ARRANGEMENTS]
)
"""It is asked for more only before anything is told, never in favour of another exchange."""
_RARITY = np.array([each.rarity for each in ARRANGEMENTS])
