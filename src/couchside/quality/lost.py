"""Leads that carry no signal, and the electrode without contact where one explains them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.model import FindingKind
from couchside.quality.signals import Signals
from couchside.quality.spoils import Spoil
from couchside.quality.windows import Spans
from couchside.recording import (
    CHEST_ELECTRODE_OF_LEAD,
    ELECTRODES,
    STANDARD_LEADS,
    Electrode,
    get_lead_matrix,
)

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


def find_dead_leads(spoils: dict[FindingKind, Spoil], signals: Signals) -> tuple[DeadLeads, ...]:
    """Fold leads without a signal into the fewest causes that explain them."""
    still = spoils[FindingKind.FLAT].noticed | spoils[FindingKind.SATURATED].noticed
    groups = [*_lost_contacts(still, spoils, signals)]
    missing = spoils[FindingKind.MISSING_SAMPLES].noticed
    if missing.any():
        groups.append(
            _group(
                FindingKind.MISSING_SAMPLES,
                (),
                np.asarray(missing.any(axis=1)),
                missing,
                signals,
                1.0,
            )
        )
    return tuple(groups)


def _lost_contacts(
    still: BoolArray, spoils: dict[FindingKind, Spoil], signals: Signals
) -> list[DeadLeads]:
    rows: BoolArray = np.asarray(still.any(axis=1))
    if not rows.any():
        return []
    if rows.all() and len(rows) > 1:
        return [_group(FindingKind.LOST_CONTACT, (), rows, still, signals, 0.9)]
    limb = _limb_contact(rows, signals.leads)
    if limb is not None:
        return [_group(FindingKind.LOST_CONTACT, (limb,), rows, still, signals, 0.9)]
    return _chest_and_rest(rows, still, spoils, signals)


def _limb_contact(rows: BoolArray, leads: tuple[str, ...]) -> Electrode | None:
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


def _chest_and_rest(
    rows: BoolArray, still: BoolArray, spoils: dict[FindingKind, Spoil], signals: Signals
) -> list[DeadLeads]:
    is_chest = np.array([name in CHEST_ELECTRODE_OF_LEAD for name in signals.leads])
    groups = []
    if (rows & is_chest).any():
        electrodes = tuple(
            CHEST_ELECTRODE_OF_LEAD[signals.leads[row]] for row in np.flatnonzero(rows & is_chest)
        )
        groups.append(
            _group(FindingKind.LOST_CONTACT, electrodes, rows & is_chest, still, signals, 0.95)
        )
    if (rows & ~is_chest).any():
        saturated = spoils[FindingKind.SATURATED].noticed[rows & ~is_chest].any()
        kind = FindingKind.SATURATED if saturated else FindingKind.FLAT
        groups.append(_group(kind, (), rows & ~is_chest, still, signals, 0.95))
    return groups


def _group(
    kind: FindingKind,
    electrodes: tuple[Electrode, ...],
    rows: BoolArray,
    windows: BoolArray,
    signals: Signals,
    confidence: float,
) -> DeadLeads:
    return DeadLeads(
        kind=kind,
        electrodes=electrodes,
        leads=tuple(signals.leads[row] for row in np.flatnonzero(rows)),
        share=float(windows[rows].mean(axis=1).max()),
        confidence=confidence,
        spans_s=signals.spans(np.asarray(windows[rows].any(axis=0))),
    )
