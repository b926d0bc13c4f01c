"""What the check says, as the JSON that `docs/schema/check.schema.json` describes.

The form is kept stable: fields may be added under the same major number of `SCHEMA_VERSION`, none
is renamed, removed or given another meaning. No number is ever NaN: what is absent is null.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from enum import StrEnum

import numpy as np

from couchside.errors import CouchsideError
from couchside.measures.model import Limits, Measured
from couchside.quality.model import Assessment, ElectrodeNoise, Finding, Verdict
from couchside.recording import Recording
from couchside.serial import ComparedAssessment, Examined
from couchside.service.comparison_json import comparison_to_json
from couchside.service.json_values import SCHEMA_VERSION, JsonObject, number, text
from couchside.service.measures_json import (
    lead_to_json,
    qtc_choice_to_json,
    rhythm_to_json,
    tell_now_to_json,
)
from couchside.service.recording_json import file_to_json, recording_to_json
from couchside.version import __version__
from couchside.waves.model import Waves


class Document(StrEnum):
    """What a JSON object is, under its key ``document``."""

    ASSESSMENT = "assessment"
    UNREADABLE = "unreadable"
    COLLECTION = "collection"


def assessment_to_json(
    recording: Recording, assessment: Assessment, *, path: str | None = None
) -> JsonObject:
    """One recording with its verdict, findings and measures.

    Parameters
    ----------
    recording, assessment
        The recording, and what the check says of it.
    path : str or None
        Where the file lies, as whoever asked named it; None where it does not matter.
    """
    return {
        "document": Document.ASSESSMENT.value,
        "schema_version": SCHEMA_VERSION,
        "code_version": assessment.code_version,
        "file": file_to_json(recording.origin, path),
        "verdict": assessment.verdict.value,
        "remark": text(assessment.policy.remark) if assessment.policy else None,
        "policy": _policy(assessment),
        "unreadable_probability": number(assessment.unreadable_probability),
        "findings": [_finding(finding) for finding in assessment.findings],
        "measures": [_measure(measured) for measured in assessment.measures],
        "qtc_choice": qtc_choice_to_json(assessment.measures.qtc_choice),
        "leads": [lead_to_json(lead) for lead in assessment.measures.leads],
        "rhythm": rhythm_to_json(assessment.measures.rhythm),
        "tell_now": tell_now_to_json(assessment.tell_now),
        "beats": _beats(assessment.waves),
        "electrode_noise": _electrode_noise(assessment.electrode_noise),
        **recording_to_json(recording),
        "comparison": _comparison(recording, assessment, path),
    }


def unreadable_to_json(error: CouchsideError, *, path: str) -> JsonObject:
    """One file that could not be read, with the sentence that says why."""
    return {
        "document": Document.UNREADABLE.value,
        "schema_version": SCHEMA_VERSION,
        "code_version": __version__,
        "file": {"path": path},
        "reason": type(error).__name__,
        "sentence": str(error),
    }


def collection_to_json(
    recordings: Sequence[JsonObject], unreadable: Sequence[JsonObject], *, passed_over_count: int
) -> JsonObject:
    """Several files: what was read, what could not be, and how many were no recordings."""
    verdicts = [recording["verdict"] for recording in recordings]
    return {
        "document": Document.COLLECTION.value,
        "schema_version": SCHEMA_VERSION,
        "code_version": __version__,
        "verdict_counts": {verdict.value: verdicts.count(verdict.value) for verdict in Verdict},
        "passed_over_count": passed_over_count,
        "recordings": list(recordings),
        "unreadable": list(unreadable),
    }


def _comparison(
    recording: Recording, assessment: Assessment, path: str | None
) -> JsonObject | None:
    """With the earlier recording in whose light it was assessed; None where there was none."""
    if not isinstance(assessment, ComparedAssessment) or assessment.comparison is None:
        return None
    new = Examined(recording=recording, assessment=assessment)
    return comparison_to_json(new, assessment.comparison, new_path=path, old_path=None)


def _finding(finding: Finding) -> JsonObject:
    return {
        "kind": finding.kind.value,
        "asks": finding.asks.value,
        "sentence": finding.sentence,
        "remedy": text(finding.remedy),
        "remedies": list(finding.remedies),
        "hides": [
            {"what": hidden.what.value, "leads": [str(lead) for lead in hidden.leads]}
            for hidden in finding.hides
        ],
        "confidence": number(finding.confidence),
        "electrodes": [electrode.value for electrode in finding.electrodes],
        "leads": [str(lead) for lead in finding.leads],
        "spans_s": [[number(start), number(end)] for start, end in finding.spans_s],
        "figures": _figures(finding.figures),
    }


def _policy(assessment: Assessment) -> JsonObject | None:
    """The rows that fired, each with the place of its finding in the list of findings."""
    answer = assessment.policy
    if answer is None:
        return None
    place = {id(finding): number for number, finding in enumerate(assessment.findings)}
    return {
        "title": answer.title,
        "is_example": answer.is_example,
        "problem": text(answer.problem),
        "rows": [
            {
                "row": fired.row,
                "asks": fired.asks.value,
                "source": fired.source,
                "finding": place[id(fired.finding)],
            }
            for fired in answer.rows
        ],
    }


def _figures(figures: Mapping[str, float]) -> JsonObject:
    return {name: number(value) for name, value in figures.items()}


def _measure(measured: Measured) -> JsonObject:
    return {
        "name": measured.name.value,
        "value": number(measured.value),
        "uncertainty": number(measured.uncertainty),
        "unit": measured.unit,
        "method": measured.method,
        "reason": text(measured.reason),
        "limits": _limits(measured.limits),
        "standing": measured.standing.value,
    }


def _limits(limits: Limits | None) -> JsonObject | None:
    if limits is None:
        return None
    return {
        "low": number(limits.low),
        "high": number(limits.high),
        "high_is_outside": limits.high_is_outside,
        "population": limits.population,
        "source": limits.source,
        "trust": limits.trust.value,
    }


def _beats(waves: Waves) -> JsonObject:
    groups, counts = np.unique(waves.beat_groups, return_counts=True)
    return {
        "count": waves.beat_count,
        "groups": [
            {"group": int(group), "count": int(count)}
            for group, count in zip(groups, counts, strict=True)
        ],
        "representative_count": waves.representative.beat_count if waves.representative else 0,
    }


def _electrode_noise(noise: ElectrodeNoise | None) -> JsonObject | None:
    if noise is None:
        return None
    names = [electrode.value for electrode in noise.electrodes]
    rows = zip(noise.bands, noise.fit, noise.noise_rms_uv, strict=True)
    return {
        "bands": [
            {
                "band": band.value,
                "fit": number(fit),
                "noise_rms_uv": dict(zip(names, map(number, row), strict=True)),
            }
            for band, fit, row in rows
        ]
    }
