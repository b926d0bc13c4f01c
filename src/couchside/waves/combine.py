"""One boundary out of many yardsticks: a straight-line rule, fitted once to annotated recordings.

For each lead the rule looks at what the yardsticks say on all leads together, what they say on the
middle lead, and how far this lead departs from it. So a lead in which a wave is nearly flat takes
its boundary from the others, and one lead's noise moves the result little.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from couchside.waves.bounds import middle_of_rows, middle_of_sorted_rows
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


def combine_edges(edges: FloatArray, rule: EdgeRule) -> tuple[FloatArray, FloatArray]:
    """Boundary of each lead and of all leads.

    Parameters
    ----------
    edges : array of shape (bundle, row, yardstick)
        Samples outward; the last row is that of all leads together.
    rule : EdgeRule
        Fitted weights.

    Returns
    -------
    array of shape (bundle, lead)
    array of shape (bundle,)
        Both in samples outward.
    """
    seen = _look_at(edges)
    per_lead = seen.base[:, None] + _lead_features(edges, seen) @ rule.lead
    overall = seen.base + _overall_features(edges, seen) @ rule.overall
    return per_lead, overall


def find_base(edges: FloatArray) -> FloatArray:
    """The middle of all yardsticks on the middle lead, shape (bundle,)."""
    return _look_at(edges).base


def lead_features(edges: FloatArray) -> FloatArray:
    """What the rule looks at for each lead, shape (bundle, lead, feature)."""
    return _lead_features(edges, _look_at(edges))


def overall_features(edges: FloatArray) -> FloatArray:
    """What the rule looks at for all leads, shape (bundle, feature)."""
    return _overall_features(edges, _look_at(edges))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Seen:
    """The leads' yardsticks in order of size, and what both halves of a rule start from."""

    ordered: FloatArray
    middle: FloatArray
    base: FloatArray
    common: FloatArray


def _look_at(edges: FloatArray) -> _Seen:
    ordered = np.sort(edges[:, :-1], axis=1)
    middle = middle_of_sorted_rows(ordered)
    base = middle_of_rows(middle)
    column = base[:, None]
    common = (np.ones_like(column), column, edges[:, -1] - column, middle - column)
    return _Seen(ordered=ordered, middle=middle, base=base, common=np.concatenate(common, axis=1))


def _lead_features(edges: FloatArray, seen: _Seen) -> FloatArray:
    own, common = edges[:, :-1], seen.common
    repeated = np.broadcast_to(common[:, None, :], (*own.shape[:2], common.shape[1]))
    return np.concatenate((repeated, own - seen.middle[:, None]), axis=2)


def _overall_features(edges: FloatArray, seen: _Seen) -> FloatArray:
    place = OVERALL_QUANTILE * (edges.shape[1] - 2)
    below, above = seen.ordered[:, int(np.floor(place))], seen.ordered[:, int(np.ceil(place))]
    outermost = below + (place % 1.0) * (above - below) - seen.middle
    return np.concatenate((seen.common, outermost), axis=1)
