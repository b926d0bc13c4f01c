"""The check of a recording in the light of the patient's earlier ones."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from datetime import UTC, datetime

from couchside.quality import Assessment, Finding, FindingKind, Verdict
from couchside.quality import check as check_alone
from couchside.quality.policy import Policy, apply_policy
from couchside.quality.policy_reading import get_shipped_policy
from couchside.quality.verdict import decide
from couchside.recording import INDEPENDENT_LEADS, LIMB_ELECTRODES, LIMB_LEADS, Recording
from couchside.serial.compare import compare
from couchside.serial.model import Comparison, Examined, Exchange

LEAST_EXCHANGE_PROBABILITY = 0.5
"""From here on an exchange is told; a coin's throw would be as good below."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ComparedAssessment(Assessment):
    """An assessment that also knows the patient's earlier recording.

    Parameters
    ----------
    comparison : Comparison or None
        With the newest of the earlier recordings; None where none was given.
    """

    comparison: Comparison | None = None


def check(
    recording: Recording,
    earlier: Sequence[Recording | Examined] = (),
    policy: Policy | None = None,
) -> ComparedAssessment:
    """Say whether a recording can be kept, also by what earlier recordings of the person show.

    Parameters
    ----------
    recording : Recording
        Any recording of 1 to 18 leads, of any length.
    earlier : sequence of Recording or Examined
        Of the same person, in any order; the newest by its stated start is compared with, the
        last one where none states it.
    policy : Policy or None
        What each finding asks for; None takes the shipped policy.

    Returns
    -------
    ComparedAssessment
        As `couchside.quality.check` says, with the comparison and what follows from it: a prompt
        to make sure whose recording it is, and cables that seem exchanged against then.
    """
    new = Examined(recording=recording, assessment=check_alone(recording, policy))
    return check_against(new, [_examine(each) for each in earlier], policy)


def check_against(
    new: Examined, earlier: Sequence[Examined], policy: Policy | None = None
) -> ComparedAssessment:
    """The same where the recordings were checked already, the new one by that policy."""
    old = _choose_newest(earlier)
    if old is None:
        return _with_comparison(new.assessment, None)
    comparison = compare(new, old)
    compared = _with_comparison(new.assessment, comparison)
    found = find_findings(new, comparison)
    return _add(compared, found, new.recording, policy) if found else compared


def find_findings(new: Examined, comparison: Comparison) -> tuple[Finding, ...]:
    """What the comparison tells the recorder: at most one finding."""
    if _shows(comparison.old, FindingKind.CABLES_EXCHANGED):
        return ()
    exchange = comparison.exchange
    if exchange and exchange.cables and exchange.probability >= LEAST_EXCHANGE_PROBABILITY:
        told = _shows(new, FindingKind.CABLES_EXCHANGED)
        return () if told else (_tell_exchange(exchange, comparison),)
    return (_prompt(comparison),) if comparison.same_heart.prompts else ()


def describe_when(examined: Examined) -> str:
    """When a recording was taken, as far as it says: "of 2026-03-02 08:05"."""
    start = examined.recording.start
    return f"of {start:%Y-%m-%d %H:%M}" if start else "without a stated time"


def _with_comparison(assessment: Assessment, comparison: Comparison | None) -> ComparedAssessment:
    parts = {item.name: getattr(assessment, item.name) for item in fields(Assessment)}
    return ComparedAssessment(**parts, comparison=comparison)


def _add(
    compared: ComparedAssessment,
    found: tuple[Finding, ...],
    recording: Recording,
    policy: Policy | None,
) -> ComparedAssessment:
    """With further findings, on which the policy has its say as on all others."""
    told, answer = apply_policy(
        policy or get_shipped_policy(), (*compared.findings, *found), recording
    )
    if compared.policy is not None:
        answer = replace(answer, problem=compared.policy.problem)
    return replace(compared, findings=told, policy=answer, verdict=decide(told))


def _examine(earlier: Recording | Examined) -> Examined:
    if isinstance(earlier, Examined):
        return earlier
    return Examined(recording=earlier, assessment=check_alone(earlier))


def _choose_newest(earlier: Sequence[Examined]) -> Examined | None:
    dated = [each for each in earlier if each.recording.start is not None]
    if not dated:
        return earlier[-1] if earlier else None
    return max(dated, key=lambda each: _moment(each.recording.start))


def _moment(start: datetime | None) -> datetime:
    """Comparable whether or not a zone is stated; one that is not is taken as UTC."""
    if start is None:
        return datetime.min.replace(tzinfo=UTC)
    return start if start.tzinfo is not None else start.replace(tzinfo=UTC)


def _shows(examined: Examined, kind: FindingKind) -> bool:
    return any(finding.kind is kind for finding in examined.assessment.findings)


def _tell_exchange(exchange: Exchange, comparison: Comparison) -> Finding:
    on_limbs = any(cable in LIMB_ELECTRODES for cable in exchange.cables)
    return Finding(
        kind=FindingKind.CABLES_EXCHANGED,
        asks=Verdict.RECORD_AGAIN,
        sentence=(
            f"The {exchange.words} seem to be exchanged, in this recording or in the one "
            f"{describe_when(comparison.old)}: with them exchanged the two are much more alike."
        ),
        remedy=f"Check the {exchange.words} and put them right, then record again.",
        confidence=min(exchange.probability, 0.99),
        electrodes=tuple(exchange.cables),
        leads=tuple(map(str, LIMB_LEADS if on_limbs else INDEPENDENT_LEADS[2:])),
    )


def _prompt(comparison: Comparison) -> Finding:
    probability = comparison.same_heart.probability or 0.0
    return Finding(
        kind=FindingKind.UNLIKE_EARLIER,
        asks=Verdict.KEEP_WITH_REMARK,
        sentence=(
            "The beats are less alike than two recordings of one person usually are: this one and "
            f"the one {describe_when(comparison.old)}."
        ),
        remedy="Ask for name and date of birth, and make sure whose recording this is.",
        confidence=min(1.0 - probability, 0.95),
        figures={"distance": comparison.same_heart.distance or 0.0},
    )
