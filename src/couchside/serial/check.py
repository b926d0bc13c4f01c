"""The check of a recording in the light of the patient's earlier ones."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from datetime import UTC, datetime

from couchside.measures import measure
from couchside.quality import Assessment, Finding, FindingKind, Verdict
from couchside.quality import check as check_alone
from couchside.quality.folding import without_consequences
from couchside.quality.interchange.features import find_features
from couchside.quality.interchange.finding import check_cables
from couchside.quality.misplacement import ChangeSince, check_misplacement
from couchside.quality.policy import Policy, apply_policy
from couchside.quality.policy_reading import get_shipped_policy
from couchside.quality.verdict import decide
from couchside.quality.withheld import withhold_untrusted
from couchside.recording import Electrode, Recording
from couchside.serial.compare import compare
from couchside.serial.model import Comparison, Examined
from couchside.serial.placing import find_change_since


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
    findings = find_findings(new, comparison)
    if findings == new.assessment.findings:
        return compared
    return _judge_anew(compared, findings, new.recording, policy)


def find_findings(new: Examined, comparison: Comparison) -> tuple[Finding, ...]:
    """All findings in the light of the comparison.

    Exchanged cables are judged by both recordings together, in place of what the new one said
    alone; an electrode that is not recorded shows by itself and stays told.
    """
    alone = new.assessment.findings
    exchange = comparison.exchange
    prompts = comparison.same_heart.prompts and not (exchange and exchange.cables)
    added = (_prompt(comparison),) if prompts else ()
    if comparison.cable_evidence is None:
        return (*alone, *added)
    assessment = new.assessment
    features = find_features(assessment.waves.representative, assessment.left_out_leads)
    together = check_cables(features, earlier=comparison.cable_evidence)
    misplaced = check_misplacement(
        new.recording,
        assessment.waves,
        features,
        since=_find_change_since(assessment, comparison),
    )
    stays = [each for each in alone if not _is_judged_anew(each, together, misplaced)]
    fresh = (each for each in misplaced if not _stands_in(each, alone))
    return without_consequences((*stays, *together, *fresh, *added), new.recording.leads)


def _find_change_since(assessment: Assessment, comparison: Comparison) -> ChangeSince | None:
    """None where the electrodes of the earlier recording are stated to have been elsewhere."""
    old = comparison.old
    if old.recording.placement.needs_a_banner:
        return None
    beats = (each.waves.representative for each in (assessment, old.assessment))
    return find_change_since(*beats, when=old.when)


def _is_judged_anew(
    finding: Finding, together: tuple[Finding, ...], misplaced: tuple[Finding, ...]
) -> bool:
    """Whether a finding of the new recording alone gives way to what both say."""
    if finding.kind is FindingKind.MISPLACED:
        return bool(misplaced) and not _stands_in(misplaced[0], (finding,))
    if finding.kind is FindingKind.CABLES_EXCHANGED:
        return bool(together) or Electrode.RL not in finding.electrodes
    return False


def _stands_in(finding: Finding, others: tuple[Finding, ...]) -> bool:
    return any(each.sentence == finding.sentence for each in others)


def _with_comparison(assessment: Assessment, comparison: Comparison | None) -> ComparedAssessment:
    parts = {item.name: getattr(assessment, item.name) for item in fields(Assessment)}
    return ComparedAssessment(**parts, comparison=comparison)


def _judge_anew(
    compared: ComparedAssessment,
    findings: tuple[Finding, ...],
    recording: Recording,
    policy: Policy | None,
) -> ComparedAssessment:
    """With other findings, on which the policy has its say as on all."""
    told, answer = apply_policy(policy or get_shipped_policy(), findings, recording)
    if compared.policy is not None:
        answer = replace(answer, problem=compared.policy.problem)
    return replace(
        compared,
        findings=told,
        policy=answer,
        verdict=decide(told),
        measures=withhold_untrusted(measure(recording, compared.waves), told),
    )


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


def _prompt(comparison: Comparison) -> Finding:
    probability = comparison.same_heart.probability or 0.0
    return Finding(
        kind=FindingKind.UNLIKE_EARLIER,
        asks=Verdict.KEEP_WITH_REMARK,
        sentence=(
            "The beats are less alike than two recordings of one person usually are: this one and "
            f"the one {comparison.old.when}."
        ),
        remedy="Ask for name and date of birth, and make sure whose recording this is.",
        confidence=min(1.0 - probability, 0.95),
        figures={"distance": comparison.same_heart.distance or 0.0},
    )
