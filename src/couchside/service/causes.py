"""What a verdict rests on, read from the assessment as it was filed, without its recording."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import partial

from couchside.quality.model import FindingKind
from couchside.recording import Electrode
from couchside.service.desk import Desk
from couchside.service.trail import get_change_mark
from couchside.store.queries.recordings import list_newest_documents


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """The finding that led to a verdict: what, and at which electrodes."""

    kind: FindingKind
    electrodes: tuple[Electrode, ...]


def list_causes(desk: Desk, recording_ids: Collection[int]) -> Mapping[int, Cause]:
    """The causes of the verdicts that were filed last; none for a verdict without a cause."""
    ids = tuple(sorted(recording_ids))
    return desk.remembered.recall(
        get_change_mark(desk), ("causes", ids), partial(_read_causes, desk, ids)
    )


def _read_causes(desk: Desk, recording_ids: Collection[int]) -> Mapping[int, Cause]:
    with desk.store.reading() as session:
        documents = list_newest_documents(session, recording_ids)
    found = {number: find_cause(document) for number, document in documents.items()}
    return {number: cause for number, cause in found.items() if cause is not None}


def find_cause(document: Mapping[str, object]) -> Cause | None:
    """The weightiest finding among those that ask for the verdict, in an assessment's document.

    None where there is none, or where another version has called it by a name not known here.
    """
    findings = document.get("findings")
    for finding in findings if isinstance(findings, list) else []:
        if finding.get("asks") == document.get("verdict"):
            return _read_cause(finding)
    return None


def _read_cause(finding: Mapping[str, object]) -> Cause | None:
    electrodes = finding.get("electrodes")
    try:
        return Cause(
            kind=FindingKind(str(finding["kind"])),
            electrodes=tuple(map(Electrode, electrodes if isinstance(electrodes, list) else ())),
        )
    except (KeyError, ValueError):
        return None
