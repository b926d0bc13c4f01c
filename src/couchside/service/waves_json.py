"""Beats and boundaries as the JSON that `docs/schema/waves.schema.json` describes.

It is made for drawing them over a tracing; the form is kept stable as that of the assessment is,
see `couchside.service.assessment_json`.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from couchside.measures import MeasureName
from couchside.measures.model import Measures
from couchside.quality.model import Assessment
from couchside.serial.model import AlignedBeats
from couchside.service.json_values import SCHEMA_VERSION, JsonObject, number
from couchside.waves.model import FloatArray, IntArray, RepresentativeBeat, WaveBounds

INTERVAL_OF = {
    "p_onset": MeasureName.PR_INTERVAL,
    "p_offset": MeasureName.P_DURATION,
    "qrs_onset": MeasureName.QRS_DURATION,
    "qrs_offset": MeasureName.QRS_DURATION,
    "t_offset": MeasureName.QT_INTERVAL,
}
"""The interval that a boundary ends, whose half-width stands for the boundary's own.

No half-width is known for one boundary alone. An interval's holds the errors of both its ends, so
that one end drawn with all of it is drawn rather too uncertain than too sure.
"""


def waves_to_json(assessment: Assessment, *, start_s: float, length_s: float) -> JsonObject:
    """The beats of a stretch with their boundaries, and the representative beat.

    Parameters
    ----------
    assessment : Assessment
        What the check found.
    start_s, length_s : float
        The stretch, in seconds of the recording: beats outside it are left out.
    """
    waves = assessment.waves
    times_s = waves.beat_samples / waves.rate_hz
    inside = np.flatnonzero((times_s >= start_s) & (times_s < start_s + length_s))
    beat = waves.representative
    return {
        "document": "waves",
        "schema_version": SCHEMA_VERSION,
        "code_version": assessment.code_version,
        "leads": list(waves.leads),
        "beats": [
            {"at_s": number(times_s[each]), "group": int(waves.beat_groups[each])}
            for each in inside
        ],
        "waves": {
            name: _bounds(bounds, inside, waves.rate_hz)
            for name, bounds in (("p", waves.p), ("qrs", waves.qrs), ("t", waves.t))
        },
        "representative": None if beat is None else _beat(beat, assessment.measures),
        "others": [_beat(other, None) for other in waves.others],
    }


def earlier_beat_to_json(
    assessment: Assessment, beats: AlignedBeats | None, *, recording_id: int | None
) -> JsonObject:
    """The earlier recording's representative beat, laid upon the newer one's.

    Parameters
    ----------
    assessment : Assessment
        Of the newer recording.
    beats : AlignedBeats or None
        None where there is nothing to lay upon another.
    recording_id : int or None
        Which recording the earlier one is; None where there is none.
    """
    newer = assessment.waves.representative
    return {
        "document": "earlier_beat",
        "schema_version": SCHEMA_VERSION,
        "code_version": assessment.code_version,
        "recording_id": recording_id,
        "beat": None
        if beats is None or newer is None
        else {
            "leads": list(beats.leads),
            "rate_hz": number(beats.rate_hz),
            "from_s": number(-newer.fiducial_sample / newer.rate_hz),
            "microvolts": _rows(beats.old_uv),
        },
    }


def _bounds(bounds: WaveBounds, inside: IntArray, rate_hz: float) -> JsonObject:
    named = (("onset_s", bounds.onset), ("peak_s", bounds.peak), ("offset_s", bounds.offset))
    return {name: _rows(samples[:, inside] / rate_hz) for name, samples in named}


def _beat(beat: RepresentativeBeat, measures: Measures | None) -> JsonObject:
    """With the half-widths of its intervals, where these were measured."""
    return {
        "group": beat.group,
        "beat_count": beat.beat_count,
        "rate_hz": number(beat.rate_hz),
        "from_s": number(-beat.fiducial_sample / beat.rate_hz),
        "microvolts": _rows(beat.microvolts),
        "boundaries": [
            _boundary(beat, measures, name, interval) for name, interval in INTERVAL_OF.items()
        ],
    }


def _boundary(
    beat: RepresentativeBeat, measures: Measures | None, name: str, interval: MeasureName
) -> JsonObject:
    sample: float = getattr(beat.overall, name)
    width_ms = None if measures is None else measures.get(interval).uncertainty
    return {
        "boundary": name,
        "at_s": number((sample - beat.fiducial_sample) / beat.rate_hz),
        "half_width_ms": number(width_ms),
        "half_width_of": interval.value,
    }


def _rows(values: FloatArray) -> Sequence[Sequence[float | None]]:
    return [[number(value) for value in row] for row in values.tolist()]
