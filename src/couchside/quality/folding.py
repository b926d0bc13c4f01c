"""Findings that only follow from another one are left out: one finding for each cause."""

from __future__ import annotations

from collections.abc import Iterable

from couchside.quality.model import Finding, FindingKind, Verdict
from couchside.recording import LIMB_LEADS, Electrode

LOST_KINDS = frozenset(
    {
        FindingKind.LOST_CONTACT,
        FindingKind.FLAT,
        FindingKind.SATURATED,
        FindingKind.MISSING_SAMPLES,
    }
)
NOISE_KINDS = frozenset(
    {
        FindingKind.WANDER,
        FindingKind.MAINS,
        FindingKind.MUSCLE_TREMOR,
        FindingKind.LIMB_TREMOR,
        FindingKind.LOOSE_CONTACT,
        FindingKind.MOVEMENT,
        FindingKind.POP,
        FindingKind.SATURATED,
    }
)


_WRONG_IN_THE_FILE = frozenset(
    {FindingKind.LEADS_DISAGREE, FindingKind.LEADS_MISNAMED, FindingKind.LEAD_COPIED}
)


def without_consequences(
    findings: Iterable[Finding], recorded: tuple[str, ...]
) -> tuple[Finding, ...]:
    """Leave out what another finding explains.

    Parameters
    ----------
    findings : iterable of Finding
        Everything that was noticed.
    recorded : tuple of str
        The leads of the recording.

    Returns
    -------
    tuple of Finding
        Without a flat limb lead that exchanged cables explain, without limb leads that do not add
        up where a copy explains it, without misplaced electrodes beside
        exchanged cables, without a missing heartbeat where no lead carries a signal, and without
        noise in microvolts where the gain is wrong. Beats of absurd size that an open input makes
        say nothing about the gain.
    """
    listed = tuple(findings)
    return tuple(found for found in listed if not _follows(found, listed, recorded))


def unreadable_leads(findings: Iterable[Finding]) -> frozenset[str]:
    """Leads that a finding wants recorded again, save those that a cable may have made flat.

    A shaking limb beats in step for long enough to be left in the representative beat, where it
    stands as waves of its own; its leads say nothing about cables either.
    """
    return frozenset(
        name
        for found in findings
        for name in found.leads
        if (found.asks == Verdict.RECORD_AGAIN and found.kind != FindingKind.FLAT)
        or found.kind == FindingKind.LIMB_TREMOR
    )


def disagreeing_leads(findings: Iterable[Finding]) -> frozenset[str]:
    """The limb leads, where they do not add up: their algebra then tells nothing of cables."""
    disagree = any(found.kind in _WRONG_IN_THE_FILE for found in findings)
    return frozenset(map(str, LIMB_LEADS)) if disagree else frozenset()


def named_leads(findings: Iterable[Finding]) -> frozenset[str]:
    """All leads that the findings name."""
    return frozenset(name for found in findings for name in found.leads)


def lost_leads(findings: Iterable[Finding]) -> frozenset[str]:
    """Leads that carry no signal at some time."""
    return frozenset(name for found in findings for name in found.leads if found.kind in LOST_KINDS)


def _follows(found: Finding, listed: tuple[Finding, ...], recorded: tuple[str, ...]) -> bool:
    kinds = {each.kind for each in listed}
    if found.kind in {FindingKind.FLAT, FindingKind.LEAD_COPIED}:
        return any(
            each.kind == FindingKind.CABLES_EXCHANGED
            and set(found.leads) <= set(each.leads)
            and (found.kind == FindingKind.FLAT or Electrode.RL in each.electrodes)
            for each in listed
        )
    if found.kind == FindingKind.LEADS_DISAGREE:
        return any(
            each.kind == FindingKind.LEAD_COPIED and set(found.leads) <= set(each.leads)
            for each in listed
        )
    if found.kind == FindingKind.MISPLACED:
        return FindingKind.CABLES_EXCHANGED in kinds
    if found.kind == FindingKind.NO_HEARTBEAT:
        return any(
            each.kind in LOST_KINDS and set(each.leads) == set(recorded) and not each.spans_s
            for each in listed
        )
    lost = any(each.kind == FindingKind.LOST_CONTACT and each.electrodes for each in listed)
    if found.kind == FindingKind.AMPLITUDE:
        return lost
    return found.kind in NOISE_KINDS and FindingKind.AMPLITUDE in kinds and not lost
