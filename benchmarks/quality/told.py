"""The findings that name a fault of an electrode."""

from __future__ import annotations

from couchside.quality import Assessment, Finding, FindingKind

NOISE = frozenset(
    {
        FindingKind.WANDER,
        FindingKind.MAINS,
        FindingKind.MUSCLE_TREMOR,
        FindingKind.LIMB_TREMOR,
        FindingKind.MOVEMENT,
        FindingKind.POP,
        FindingKind.LOOSE_CONTACT,
        FindingKind.LOST_CONTACT,
        FindingKind.SATURATED,
        FindingKind.FLAT,
    }
)


def told_faults(assessment: Assessment) -> list[Finding]:
    """Findings of noise and contact, weightiest first."""
    return [each for each in assessment.findings if each.kind in NOISE]
