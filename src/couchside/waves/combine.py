"""One boundary out of many yardsticks: a straight-line rule, fitted once to annotated recordings.

For each lead the rule looks at what the yardsticks say on all leads together, what they say on the
middle lead, and how far this lead departs from it. So a lead in which a wave is nearly flat takes
its boundary from the others, and one lead's noise moves the result little.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from couchside.waves.bounds import middle_of_sorted
from couchside.waves.model import FloatArray

OVERALL_QUANTILE = 0.9
"""The outermost boundary is read at this quantile of the leads, so that one lead cannot set it."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EdgeRule:
    """Weights of one boundary, in samples outward at the rate at which it is sought.

    Parameters
    ----------
    lead : array of shape (feature,)
        For one lead: constant, base, all leads together, middle lead, own departure.
    overall : array of shape (feature,)
        For the recording: constant, base, all leads together, middle lead, outermost leads.
    """

    lead: FloatArray
    overall: FloatArray


def make_rule(*, lead: tuple[float, ...], overall: tuple[float, ...]) -> EdgeRule:
    """A rule from plain numbers."""
    return EdgeRule(lead=np.array(lead), overall=np.array(overall))


def combine_edges(
    edges: FloatArray, rules: tuple[EdgeRule, EdgeRule]
) -> tuple[FloatArray, FloatArray]:
    """Boundary of each lead and of all leads, backwards and forwards.

    Parameters
    ----------
    edges : array of shape (2, bundle, row, yardstick)
        Samples outward, for the onset and for the end; the last row is that of all leads together.
    rules : tuple of two EdgeRule
        Fitted weights for the onset and for the end.

    Returns
    -------
    array of shape (2, bundle, lead)
    array of shape (2, bundle)
        Both in samples outward.
    """
    seen = _look_at(edges)
    departures, outermost = _find_departures(edges, seen), _find_outermost(seen)
    count = seen.common.shape[2]
    per_lead = seen.base[:, :, None].repeat(departures.shape[2], axis=2)
    overall = seen.base.copy()
    for side, rule in enumerate(rules):
        common = seen.common[side]
        per_lead[side] += (common @ rule.lead[:count])[:, None]
        per_lead[side] += departures[side] @ rule.lead[count:]
        overall[side] += common @ rule.overall[:count] + outermost[side] @ rule.overall[count:]
    return per_lead, overall


def find_base(edges: FloatArray) -> FloatArray:
    """The middle of all yardsticks on the middle lead, shape (2, bundle)."""
    return _look_at(edges).base


def lead_features(edges: FloatArray) -> FloatArray:
    """What the rules look at for each lead, shape (2, bundle, lead, feature)."""
    seen = _look_at(edges)
    departures = _find_departures(edges, seen)
    repeated = seen.common[:, :, None, :].repeat(departures.shape[2], axis=2)
    return np.concatenate((repeated, departures), axis=3)


def overall_features(edges: FloatArray) -> FloatArray:
    """What the rules look at for all leads, shape (2, bundle, feature)."""
    seen = _look_at(edges)
    return np.concatenate((seen.common, _find_outermost(seen)), axis=2)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Seen:
    """The leads' yardsticks in order of size, and what both halves of a rule start from."""

    ordered: FloatArray
    middle: FloatArray
    base: FloatArray
    common: FloatArray


def _look_at(edges: FloatArray) -> _Seen:
    ordered = np.sort(edges[:, :, :-1], axis=2)
    middle = middle_of_sorted(ordered)
    base = middle_of_sorted(np.sort(middle, axis=2)[..., None])[..., 0]
    column = base[:, :, None]
    common = (np.ones_like(column), column, edges[:, :, -1] - column, middle - column)
    return _Seen(ordered=ordered, middle=middle, base=base, common=np.concatenate(common, axis=2))


def _find_departures(edges: FloatArray, seen: _Seen) -> FloatArray:
    """How far each lead is from the middle one, shape (2, bundle, lead, yardstick)."""
    departures: FloatArray = edges[:, :, :-1] - seen.middle[:, :, None]
    return departures


def _find_outermost(seen: _Seen) -> FloatArray:
    """How far the outermost leads are from the middle one, shape (2, bundle, yardstick)."""
    place = OVERALL_QUANTILE * (seen.ordered.shape[2] - 1)
    below = seen.ordered[:, :, int(np.floor(place))]
    above = seen.ordered[:, :, int(np.ceil(place))]
    outermost: FloatArray = below + (place % 1.0) * (above - below) - seen.middle
    return outermost
