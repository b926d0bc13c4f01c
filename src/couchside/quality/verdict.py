"""From findings to one verdict."""

from __future__ import annotations

from collections.abc import Iterable

from couchside.quality.model import Finding, FindingKind, Verdict

_STRICTNESS = {verdict: rank for rank, verdict in enumerate(Verdict)}
_WEIGHT = {
    kind: rank
    for rank, kind in enumerate(
        (
            FindingKind.NO_HEARTBEAT,
            FindingKind.LOST_CONTACT,
            FindingKind.LOOSE_CONTACT,
            FindingKind.CABLES_EXCHANGED,
            FindingKind.UNLIKE_EARLIER,
            FindingKind.SATURATED,
            FindingKind.FLAT,
            FindingKind.MISSING_SAMPLES,
            FindingKind.AMPLITUDE,
            FindingKind.POP,
            FindingKind.MOVEMENT,
            FindingKind.WANDER,
            FindingKind.LIMB_TREMOR,
            FindingKind.MUSCLE_TREMOR,
            FindingKind.MAINS,
            FindingKind.HARD_TO_READ,
            FindingKind.TOO_SHORT,
            FindingKind.SAMPLING_RATE,
            FindingKind.LEADS_MISSING,
            FindingKind.MISPLACED,
            FindingKind.LEADS_MISNAMED,
            FindingKind.LEAD_COPIED,
            FindingKind.LEADS_DISAGREE,
            FindingKind.FILTER,
            FindingKind.RESOLUTION,
            FindingKind.IDENTITY,
            FindingKind.FILTER_NOT_STATED,
        )
    )
}
"""The order in which findings that ask for the same are told: what ends the reading comes first."""


def put_in_order(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Weightiest first; findings of one kind keep their order."""
    return tuple(sorted(findings, key=weight))


def weight(found: Finding) -> tuple[int, int]:
    """What sorts the weightiest first: by what is asked, then by kind."""
    return -_STRICTNESS[found.asks], _WEIGHT[found.kind]


def decide(findings: Iterable[Finding]) -> Verdict:
    """The strictest of what the findings ask for; keep where there are none."""
    return max(
        (found.asks for found in findings), key=_STRICTNESS.__getitem__, default=Verdict.KEEP
    )
