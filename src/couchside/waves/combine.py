"""One boundary out of many yardsticks: a straight-line rule, fitted once to annotated recordings.

For each lead the rule looks at what the yardsticks say on all leads together, what they say on the
middle lead, and how far this lead departs from it. So a lead in which a wave is nearly flat takes
its boundary from the others, and one lead's noise moves the result little.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from couchside.waves.bounds import middle_of_rows
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
    base = find_base(edges)
    per_lead = base[:, None] + lead_features(edges) @ rule.lead
    overall = base + overall_features(edges) @ rule.overall
    return per_lead, overall


def find_base(edges: FloatArray) -> FloatArray:
    """The middle of all yardsticks on the middle lead, shape (bundle,)."""
    return middle_of_rows(middle_of_rows(edges[:, :-1]))


def lead_features(edges: FloatArray) -> FloatArray:
    """What the rule looks at for each lead, shape (bundle, lead, feature)."""
    own = edges[:, :-1]
    common = _common_features(edges)
    departure = own - middle_of_rows(own)[:, None]
    repeated = np.broadcast_to(common[:, None, :], (*own.shape[:2], common.shape[1]))
    return np.concatenate((repeated, departure), axis=2)


def overall_features(edges: FloatArray) -> FloatArray:
    """What the rule looks at for all leads, shape (bundle, feature)."""
    own = edges[:, :-1]
    place = OVERALL_QUANTILE * (own.shape[1] - 1)
    ordered = np.sort(own, axis=1)
    below, above = ordered[:, int(np.floor(place))], ordered[:, int(np.ceil(place))]
    outermost = below + (place % 1.0) * (above - below) - middle_of_rows(own)
    return np.concatenate((_common_features(edges), outermost), axis=1)


def _common_features(edges: FloatArray) -> FloatArray:
    base = find_base(edges)[:, None]
    together, middle = edges[:, -1], middle_of_rows(edges[:, :-1])
    return np.concatenate((np.ones_like(base), base, together - base, middle - base), axis=1)
