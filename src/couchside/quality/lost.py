"""Leads that carry no signal, and the electrode without contact where one explains them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.model import FindingKind
from couchside.quality.signals import Signals
from couchside.quality.sources import ANY_CHEST_LEADS, list_sources, source_weights
from couchside.quality.spoils import Spoil
from couchside.quality.windows import Spans
from couchside.recording import (
    CHEST_ELECTRODE_OF_LEAD,
    ELECTRODES,
    STANDARD_LEADS,
    Electrode,
    Lead,
    get_lead_matrix,
)
from couchside.waves.medians import median_of_rows

BoolArray = NDArray[np.bool_]

_LIMB_CONTACTS = (Electrode.RA, Electrode.LA, Electrode.LL)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DeadLeads:
    """Leads without a signal that have one cause.

    Parameters
    ----------
    kind : FindingKind
        LOST_CONTACT where an electrode or the whole cable explains them; else FLAT, SATURATED or
        MISSING_SAMPLES.
    electrodes : tuple of Electrode
        Without contact; empty where that cannot be told.
    leads : tuple of str
        In the recording's order.
    share : float
        Share of the time for which the worst of them carries no signal.
    confidence : float
        How sure.
    spans_s : tuple of (start, end)
        When; empty means all through.
    """

    kind: FindingKind
    electrodes: tuple[Electrode, ...]
    leads: tuple[str, ...]
    share: float
    confidence: float
    spans_s: Spans


def dead_windows(spoils: dict[FindingKind, Spoil]) -> BoolArray:
    """Where a lead is flat, at its limit or missing, shape (lead, window)."""
    return (
        spoils[FindingKind.FLAT].noticed
        | spoils[FindingKind.SATURATED].noticed
        | spoils[FindingKind.MISSING_SAMPLES].noticed
    )


def without_company(dead: BoolArray) -> BoolArray:
    """Where a lead is dead, or so many others are that nothing can be said of it.

    With most leads gone no beats are found, so that the heart itself looks like a fault in those
    that are left, and no algebra tells which electrode it would be.

    Parameters
    ----------
    dead : array of bool, shape (lead, window)
        From `dead_windows`.
    """
    gone = dead.mean(axis=0) >= thresholds.MOST_LEADS
    near = gone.copy()
    near[1:] |= gone[:-1]
    near[:-1] |= gone[1:]
    alone: BoolArray = dead | near
    return alone


def find_dead_leads(spoils: dict[FindingKind, Spoil], signals: Signals) -> tuple[DeadLeads, ...]:
    """Fold leads without a signal into the fewest causes that explain them."""
    if not dead_windows(spoils).any():
        return ()
    flat, saturated = (spoils[kind].noticed for kind in (FindingKind.FLAT, FindingKind.SATURATED))
    missing = spoils[FindingKind.MISSING_SAMPLES].noticed
    lost = flat.any(axis=1) | (saturated.mean(axis=1) >= thresholds.LOST_SHARE)
    brief = saturated.any(axis=1) & ~lost
    still = _Stillness(windows=flat | saturated, signals=signals)
    gone = _Stillness(windows=missing, signals=signals)
    driven = _find_driven(flat | saturated, signals)
    if driven is not None:
        entered = source_weights(signals.leads)[:, list_sources(signals.leads).index(driven)] != 0.0
        return (
            *still.causes(FindingKind.LOST_CONTACT, entered, (driven,)),
            *gone.causes(FindingKind.MISSING_SAMPLES, np.asarray(missing.any(axis=1))),
        )
    return (
        *_explain_lost(np.asarray(lost), still),
        *still.causes(FindingKind.SATURATED, np.asarray(brief)),
        *gone.causes(FindingKind.MISSING_SAMPLES, np.asarray(missing.any(axis=1))),
    )


def _find_driven(still: BoolArray, signals: Signals) -> Electrode | None:
    """The limb electrode that drives leads to their limits, told by I, II and the signs.

    The recorder measures I, II and the chest leads and makes the others of them, so that III of two
    leads at their limits may be anything. A limb's potential stands in every chest lead with
    one sign.
    """
    at_limit = still.mean(axis=1) >= thresholds.LOST_SHARE
    if not at_limit.any():
        return None
    level_uv = median_of_rows(signals.microvolts)
    at_limit &= np.abs(level_uv) > thresholds.SATURATED_AWAY_UV
    sides = np.sign(level_uv)
    side_of = {
        name: int(sides[row]) if at_limit[row] else 0
        for row, name in enumerate(signals.leads)
        if name in {Lead.I, Lead.II} or name in ANY_CHEST_LEADS
    }
    if not {str(Lead.I), str(Lead.II)} <= side_of.keys():
        return None
    first, second = side_of.pop(Lead.I), side_of.pop(Lead.II)
    chest = {side for side in side_of.values() if side}
    if first and first == second:
        return Electrode.RA if chest <= {first} and side_of else None
    if (first != 0) == (second != 0) or not chest <= {-(first or second)}:
        return None
    return Electrode.LA if first else Electrode.LL


def _explain_lost(rows: BoolArray, still: _Stillness) -> tuple[DeadLeads, ...]:
    leads = still.signals.leads
    if rows.all() and len(rows) > 1:
        return still.causes(FindingKind.LOST_CONTACT, rows)
    limb = _find_limb_contact(rows, leads)
    if limb is not None:
        return still.causes(FindingKind.LOST_CONTACT, rows, (limb,))
    is_chest = np.array([name in CHEST_ELECTRODE_OF_LEAD for name in leads])
    if rows.mean() >= thresholds.MOST_LEADS and (rows & ~is_chest).any():
        return still.causes(FindingKind.LOST_CONTACT, rows)
    electrodes = tuple(
        CHEST_ELECTRODE_OF_LEAD[leads[row]] for row in np.flatnonzero(rows & is_chest)
    )
    return (
        *still.causes(FindingKind.LOST_CONTACT, rows & is_chest, electrodes),
        *still.causes(FindingKind.FLAT, rows & ~is_chest),
    )


def _find_limb_contact(rows: BoolArray, leads: tuple[str, ...]) -> Electrode | None:
    """The limb electrode that enters all the still leads and none of the living limb leads."""
    known = np.array([name in STANDARD_LEADS for name in leads])
    standard = tuple(name for name in leads if name in STANDARD_LEADS)
    if known.sum() < thresholds.FEWEST_LEADS_FOR_LIMB:
        return None
    matrix = get_lead_matrix(standard)
    for electrode in _LIMB_CONTACTS:
        entered = matrix[:, ELECTRODES.index(electrode)] != 0
        alike = (entered == rows[known]).mean()
        if alike >= thresholds.LIMB_PATTERN_SHARE and not rows[known][~entered].any():
            return electrode
    return None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Stillness:
    """Windows without a signal, shape (lead, window), and the recording that they are of."""

    windows: BoolArray
    signals: Signals

    def causes(
        self, kind: FindingKind, rows: BoolArray, electrodes: tuple[Electrode, ...] = ()
    ) -> tuple[DeadLeads, ...]:
        """One cause of the marked leads; none where no lead is marked."""
        if not rows.any():
            return ()
        cause = DeadLeads(
            kind=kind,
            electrodes=electrodes,
            leads=tuple(self.signals.leads[row] for row in np.flatnonzero(rows)),
            share=float(self.windows[rows].mean(axis=1).max()),
            confidence=thresholds.DEAD_CONFIDENCE,
            spans_s=self.signals.spans(np.asarray(self.windows[rows].any(axis=0))),
        )
        return (cause,)
