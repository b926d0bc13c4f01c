"""A comparison as the JSON that `docs/schema/compare.schema.json` describes.

The form is kept stable as that of the assessment is, see `couchside.service.assessment_json`,
which holds a comparison wherever an earlier recording was asked.
"""

from __future__ import annotations

from couchside.recording import ELECTRODES
from couchside.serial import (
    Change,
    Comparison,
    Difference,
    Examined,
    Exchange,
    LeadDifference,
    SameHeart,
)
from couchside.serial.words import summarise
from couchside.service.json_values import SCHEMA_VERSION, JsonObject, number, text
from couchside.service.recording_json import file_to_json, recording_to_json

_OF_EACH = ("recording", "patient", "settings", "device")


def comparison_to_json(
    new: Examined, comparison: Comparison, *, new_path: str | None, old_path: str | None
) -> JsonObject:
    """Two recordings and what changed between them.

    Parameters
    ----------
    new, comparison
        The later recording, and its comparison with the earlier one.
    new_path, old_path : str or None
        Where the files lie, as whoever asked named them.
    """
    return {
        "document": "comparison",
        "schema_version": SCHEMA_VERSION,
        "code_version": new.assessment.code_version,
        "new": _side(new, new_path),
        "old": _side(comparison.old, old_path),
        "summary": list(summarise(comparison)),
        "changes": [_change(each) for each in comparison.changes],
        "leads": [_lead(each) for each in comparison.leads],
        "unlike": [
            {"kind": each.kind.value, "sentence": each.sentence} for each in comparison.unlike
        ],
        "same_heart": _same_heart(comparison.same_heart),
        "exchange": _exchange(comparison.exchange),
    }


def _side(examined: Examined, path: str | None) -> JsonObject:
    stated = recording_to_json(examined.recording)
    return {
        "file": file_to_json(examined.recording.origin, path),
        "verdict": examined.assessment.verdict.value,
        **{name: stated[name] for name in _OF_EACH},
    }


def _change(change: Change) -> JsonObject:
    return {
        "name": change.name.value,
        "unit": change.unit,
        "new": number(change.new),
        "old": number(change.old),
        "change": number(change.change),
        "uncertainty": number(change.uncertainty),
        "usual": number(change.usual),
        "usual_source": change.source,
        "weight": change.weight.value,
        "reason": text(change.reason),
    }


def _lead(lead: LeadDifference) -> JsonObject:
    return {
        "lead": str(lead.lead),
        "qrs": _difference(lead.qrs),
        "st": _difference(lead.st),
        "t": _difference(lead.t),
        "largest_qrs_uv": number(lead.largest_qrs_uv),
    }


def _difference(difference: Difference) -> JsonObject:
    return {
        "change_uv": number(difference.change_uv),
        "uncertainty_uv": number(difference.uncertainty_uv),
        "usual_uv": number(difference.usual_uv),
        "weight": difference.weight.value,
        "reason": text(difference.reason),
    }


def _same_heart(same: SameHeart) -> JsonObject:
    return {
        "distance": number(same.distance),
        "probability": number(same.probability),
        "prompts": same.prompts,
        "sentence": same.sentence,
    }


def _exchange(exchange: Exchange | None) -> JsonObject | None:
    if exchange is None:
        return None
    return {
        "cables": {
            cable.value: exchange.cables[cable].value
            for cable in ELECTRODES
            if cable in exchange.cables
        },
        "words": text(exchange.words),
        "probability": number(exchange.probability),
        "of_the_new": exchange.now if exchange.cables else None,
    }
