"""What programs ask for: the assessment, the samples, the round."""

from __future__ import annotations

from typing import Annotated, Any
from urllib.parse import quote

from fastapi import APIRouter, Depends, Query, Response
from pydantic import BaseModel

from couchside.service.assessment_json import assessment_to_json
from couchside.service.filed_as import hand_out
from couchside.service.trail import Subject
from couchside.service.waves_json import earlier_beat_to_json, waves_to_json
from couchside.version import __version__
from couchside.waves.view_filter import SLOWEST_HZ, ViewFilter, filter_stretch
from couchside.web.lookup import DeskHere, NoteLookHere, RecordingHere


class Refusal(BaseModel):
    """Why there is no answer."""

    sentence: str


REFUSALS: dict[int | str, dict[str, Any]] = {
    401: {"model": Refusal, "description": "Nobody is signed in"},
    403: {"model": Refusal, "description": "Not allowed for this role"},
    404: {"model": Refusal, "description": "There is no such recording"},
    422: {"model": Refusal, "description": "Something asked for cannot be"},
    423: {"model": Refusal, "description": "The browser is locked"},
}
SAMPLES: dict[int | str, dict[str, Any]] = {
    200: {
        "description": "Microvolts, float32",
        "content": {"application/octet-stream": {"schema": {"type": "string", "format": "binary"}}},
    }
}

router = APIRouter(prefix="/api", responses=REFUSALS)
public = APIRouter(prefix="/api")

LONGEST_STRETCH_S = 120.0

StartSecond = Annotated[float, Query(ge=0, allow_inf_nan=False)]
LengthSeconds = Annotated[float, Query(gt=0, le=LONGEST_STRETCH_S)]
Corner = Annotated[float | None, Query(ge=SLOWEST_HZ, allow_inf_nan=False)]
"""Where a filter for the view stands, None for none."""


def get_view_filter(
    high_pass_hz: Corner = None, low_pass_hz: Corner = None, notch_hz: Corner = None
) -> ViewFilter:
    """What is to be taken away for the view."""
    return ViewFilter(high_pass_hz=high_pass_hz, low_pass_hz=low_pass_hz, notch_hz=notch_hz)


ViewFilterHere = Annotated[ViewFilter, Depends(get_view_filter)]


@public.get("/health")
def get_health() -> dict[str, str]:
    """That Couchside answers, and its version."""
    return {"status": "ready", "version": __version__}


@router.get("/recordings/{recording_id}")
def get_assessment(
    desk: DeskHere, opened: RecordingHere, note_look: NoteLookHere
) -> dict[str, object]:
    """One recording's assessment, as `docs/schema/check.schema.json` describes it."""
    if opened.earlier_id is not None:
        note_look(desk, Subject.RECORDING, opened.earlier_id)
    return assessment_to_json(hand_out(desk, opened), opened.assessment)


@router.get("/recordings/{recording_id}/samples", response_class=Response, responses=SAMPLES)
def get_samples(
    opened: RecordingHere,
    wish: ViewFilterHere,
    start_s: StartSecond = 0.0,
    length_s: LengthSeconds = 10.0,
) -> Response:
    """A stretch of every lead in microvolts: little-endian float32, lead after lead.

    The headers name the leads, the rate, where the stretch starts, and the whole recording's
    length; a missing sample is NaN. Without a filter asked for, it is as recorded; `x-filter`
    says which was asked for. No filter shifts a wave in time.
    """
    recording = opened.recording
    start_s = min(start_s, recording.duration_s)
    first = min(round(start_s * recording.rate_hz), recording.sample_count)
    last = min(first + round(length_s * recording.rate_hz), recording.sample_count)
    stretch = filter_stretch(recording, wish, first, last).astype("<f4", order="C")
    return Response(
        stretch.tobytes(),
        media_type="application/octet-stream",
        headers={
            "x-leads": ",".join(quote(lead) for lead in recording.leads),
            "x-rate-hz": repr(recording.rate_hz),
            "x-start-s": repr(first / recording.rate_hz),
            "x-duration-s": repr(recording.duration_s),
            "x-filter": wish.words,
        },
    )


@router.get("/recordings/{recording_id}/waves")
def get_waves(
    opened: RecordingHere, start_s: StartSecond = 0.0, length_s: LengthSeconds = 10.0
) -> dict[str, object]:
    """Beats, boundaries and the representative beat, as `docs/schema/waves.schema.json` says."""
    return waves_to_json(opened.assessment, start_s=start_s, length_s=length_s)


@router.get("/recordings/{recording_id}/earlier-beat")
def get_earlier_beat(
    desk: DeskHere, opened: RecordingHere, note_look: NoteLookHere
) -> dict[str, object]:
    """The beat of the person's newest earlier kept recording, upon this one's."""
    if opened.earlier_id is not None:
        note_look(desk, Subject.RECORDING, opened.earlier_id)
    beats = opened.comparison.beats if opened.comparison is not None else None
    return earlier_beat_to_json(opened.assessment, beats, recording_id=opened.earlier_id)
