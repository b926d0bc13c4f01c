"""Waves of each lead, the rhythm, the QTc to quote and the tell-now list as JSON."""

from __future__ import annotations

from couchside.measures.lead_model import LeadMeasures, LeadWave, StLevel
from couchside.measures.model import QtcChoice
from couchside.measures.rhythm_model import BeatGroup, BeatNote, Rhythm, RrInterval
from couchside.measures.tell_now import TellNow, TellNowItem
from couchside.service.json_values import JsonObject, number, text


def lead_to_json(lead: LeadMeasures) -> JsonObject:
    """One lead's waves, ST levels and isoelectric segments."""
    return {
        "lead": str(lead.lead),
        "waves": [_wave(wave) for wave in lead.waves],
        "st": [_st(level) for level in lead.st],
        "i_segment_ms": number(lead.i_segment_ms),
        "k_segment_ms": number(lead.k_segment_ms),
        "qrs_peak_to_peak_uv": number(lead.peak_to_peak_uv),
        "noise_rms_uv": number(lead.noise_uv),
    }


def rhythm_to_json(rhythm: Rhythm | None) -> JsonObject | None:
    """RR intervals and the beats that stand out."""
    if rhythm is None:
        return None
    return {
        "reason": text(rhythm.reason),
        "rr_ms": [number(value) for value in rhythm.rr_ms.tolist()],
        "rr_from_s": [number(value) for value in rhythm.rr_from_s.tolist()],
        "mean_rr_ms": number(rhythm.mean_rr_ms),
        "shortest": _interval(rhythm.shortest),
        "longest": _interval(rhythm.longest),
        "variation": number(rhythm.variation),
        "rmssd_ms": number(rhythm.rmssd_ms),
        "irregular_share": number(rhythm.irregular_share),
        "pause_count": rhythm.pause_count,
        "pauses": [_interval(pause) for pause in rhythm.pauses],
        "note_count": rhythm.note_count,
        "notes": [_note(note) for note in rhythm.notes],
        "groups": [_group(group) for group in rhythm.groups],
    }


def qtc_choice_to_json(choice: QtcChoice | None) -> JsonObject | None:
    """Which QTc to quote."""
    if choice is None:
        return None
    return {
        "name": choice.name.value,
        "sentence": choice.sentence,
        "is_doubtful": choice.is_doubtful,
    }


def tell_now_to_json(tell_now: TellNow | None) -> JsonObject | None:
    """What the protocol wants told, and what it could not judge."""
    if tell_now is None:
        return None
    return {
        "protocol_title": tell_now.protocol_title,
        "is_example": tell_now.is_example,
        "items": [_item(item) for item in tell_now.items],
        "not_judged": list(tell_now.not_judged),
    }


def _wave(wave: LeadWave) -> JsonObject:
    return {
        "wave": wave.name.value,
        "amplitude_uv": number(wave.amplitude_uv),
        "duration_ms": number(wave.duration_ms),
        "reason": text(wave.reason),
    }


def _st(level: StLevel) -> JsonObject:
    return {
        "after_j_ms": level.after_j_ms,
        "level_uv": number(level.level_uv),
        "reason": text(level.reason),
    }


def _interval(interval: RrInterval | None) -> JsonObject | None:
    if interval is None:
        return None
    return {"from_s": number(interval.from_s), "rr_ms": number(interval.rr_ms)}


def _note(note: BeatNote) -> JsonObject:
    return {
        "at_s": number(note.at_s),
        "early_share": number(note.early_share),
        "qrs_ms": number(note.qrs_ms),
        "words": note.words,
    }


def _group(group: BeatGroup) -> JsonObject:
    return {"group": group.number, "count": group.count, "qrs_ms": number(group.qrs_ms)}


def _item(item: TellNowItem) -> JsonObject:
    return {
        "measure": item.measure,
        "sentence": item.sentence,
        "value": number(item.value),
        "unit": item.unit,
        "leads": list(item.leads),
        "source": item.source,
    }
