"""One finding where the recording as a whole is hard to read, though no single fault ends it."""

from __future__ import annotations

from couchside.quality import thresholds
from couchside.quality.model import Finding, FindingKind, Hidden, Reading, Verdict


def check_legibility(
    unreadable_probability: float | None, noise: tuple[Finding, ...]
) -> tuple[Finding, ...]:
    """At most one finding; none where a fault that is told already asks for a repeat.

    Parameters
    ----------
    unreadable_probability : float or None
        From `find_unreadable_probability`.
    noise : tuple of Finding
        What noise and lost signals give.
    """
    if unreadable_probability is None or any(found.asks == Verdict.RECORD_AGAIN for found in noise):
        return ()
    if unreadable_probability < thresholds.UNREADABLE_NOTICED:
        return ()
    again = unreadable_probability >= thresholds.UNREADABLE_PROBABILITY
    leads = dict.fromkeys(lead for found in noise for lead in found.leads)
    return (
        Finding(
            kind=FindingKind.HARD_TO_READ,
            asks=Verdict.RECORD_AGAIN if again else Verdict.KEEP_WITH_REMARK,
            sentence=(
                "Taken together, the faults make it hard to read: readers called recordings like "
                f"this one unacceptable in {unreadable_probability:.0%} of cases."
            ),
            remedy=(
                "Look at every electrode and cable"
                + (", then record again." if again else " before the next recording.")
            ),
            confidence=unreadable_probability,
            leads=tuple(leads),
            figures={"unreadable_probability": unreadable_probability},
            hides=(Hidden(what=Reading.EVERYTHING, leads=tuple(leads)),),
        ),
    )
