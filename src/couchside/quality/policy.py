"""The verdict policy: which finding asks for what, in rows that a department may own.

A finding says what was noticed; the policy says what is asked of the recorder. The rows are read
from the top, and the first that fits a finding decides on it. A finding that no row fits is for
information.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from couchside.quality.model import (
    Finding,
    FindingKind,
    FiredRow,
    PolicyAnswer,
    Reading,
    Verdict,
)
from couchside.quality.remarks import write_remark
from couchside.quality.remedies import ask_for
from couchside.quality.verdict import weight
from couchside.recording import Recording


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PolicyRow:
    """One row: when it fits a finding, and what is then asked.

    Parameters
    ----------
    name : str
        What the department calls it; no two rows share one.
    kinds : tuple of FindingKind
        Findings that it speaks of.
    asks : Verdict
        What is asked; KEEP is "for information".
    source : str
        Where the department has it from.
    remark : str
        What the reader is told where the recording is kept, with ``{leads}``, ``{electrodes}``,
        ``{hidden}`` and ``{when}`` where they are to be filled in.
    at_least, at_most : mapping of str to float
        Figures of the finding by name, and the bound that each must keep; a finding without such
        a figure does not fit. All must be kept.
    leads : tuple of str
        Leads that count; empty for all.
    in_leads : int
        In how many of those leads the finding must show; 0 where it need not show in any.
    hides : tuple of Reading
        What it must make untrustworthy, any of these; empty where that does not matter.
    confidence_at_least : float
        How sure the finding must be, from 0 to 1.
    """

    name: str
    kinds: tuple[FindingKind, ...]
    asks: Verdict
    source: str
    remark: str = ""
    at_least: Mapping[str, float] = field(default_factory=dict)
    at_most: Mapping[str, float] = field(default_factory=dict)
    leads: tuple[str, ...] = ()
    in_leads: int = 0
    hides: tuple[Reading, ...] = ()
    confidence_at_least: float = 0.0

    def __post_init__(self) -> None:
        for name in ("at_least", "at_most"):
            object.__setattr__(self, name, MappingProxyType(dict(getattr(self, name))))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Policy:
    """A department's policy.

    Parameters
    ----------
    title : str
        What the department calls it.
    owner : str
        Who answers for it.
    is_example : bool
        True until the department has made the shipped rows its own.
    rows : tuple of PolicyRow
        In the order in which they are tried.
    digest : str
        Tells one text of a policy from another: the first digits of its SHA-256.
    """

    title: str
    owner: str
    is_example: bool
    rows: tuple[PolicyRow, ...]
    digest: str = ""


def apply_policy(
    policy: Policy, findings: Iterable[Finding], recording: Recording
) -> tuple[tuple[Finding, ...], PolicyAnswer]:
    """Let the policy say what each finding asks for.

    Parameters
    ----------
    policy : Policy
        From `parse_policy` or `get_shipped_policy`.
    findings : iterable of Finding
        What was noticed; what they ask for by themselves does not count.
    recording : Recording
        For its leads and its length.

    Returns
    -------
    tuple of (tuple of Finding, PolicyAnswer)
        The findings, weightiest first, each with what its row asks and a remedy worded for that;
        and the rows that fired in the same order, with the remark that they write for the reader.
    """
    pairs = [(found, find_row(policy, found, recording.duration_s)) for found in findings]
    asked = [(ask_for(found, row.asks if row else Verdict.KEEP), row) for found, row in pairs]
    asked.sort(key=lambda pair: weight(pair[0]))
    fired = tuple(_fire(row, found) for found, row in asked if row is not None)
    answer = PolicyAnswer(
        title=policy.title, digest=policy.digest, is_example=policy.is_example, rows=fired
    )
    remark = write_remark(answer, recording.leads)
    return tuple(found for found, _ in asked), replace(answer, remark=remark)


def find_row(policy: Policy, found: Finding, duration_s: float) -> PolicyRow | None:
    """The first row that fits a finding; None where none does."""
    figures = list_figures(found, duration_s)
    return next((row for row in policy.rows if _fits(row, found, figures)), None)


def list_figures(found: Finding, duration_s: float) -> dict[str, float]:
    """What a row may set a bound to: the finding's figures, its share of time, its leads."""
    spans = found.spans_s or ((0.0, duration_s),)
    share = sum(end - start for start, end in spans) / duration_s
    return {"share_of_time": share, "lead_count": float(len(found.leads)), **found.figures}


def _fits(row: PolicyRow, found: Finding, figures: Mapping[str, float]) -> bool:
    if found.kind not in row.kinds or found.confidence < row.confidence_at_least:
        return False
    if row.hides and not any(hidden.what in row.hides for hidden in found.hides):
        return False
    shown = [lead for lead in found.leads if not row.leads or lead in row.leads]
    if len(shown) < row.in_leads:
        return False
    return all(
        name in figures and figures[name] >= bound for name, bound in row.at_least.items()
    ) and all(name in figures and figures[name] <= bound for name, bound in row.at_most.items())


def _fire(row: PolicyRow, found: Finding) -> FiredRow:
    return FiredRow(
        row=row.name, asks=row.asks, source=row.source, remark=row.remark, finding=found
    )
