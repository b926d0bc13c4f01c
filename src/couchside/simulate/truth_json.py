"""The truth about a simulated recording as plain values for JSON."""

from __future__ import annotations

from typing import cast

import numpy as np
from numpy.typing import NDArray

from couchside.simulate.plain import to_plain
from couchside.simulate.scenario_text import scenario_to_toml
from couchside.simulate.simulation import Simulation
from couchside.simulate.truth import HeartTruth, OverallTruth
from couchside.waves.model import WaveBounds

FloatArray = NDArray[np.float64]


def truth_to_plain(simulation: Simulation) -> dict[str, object]:
    """What is so in a recording, as dictionaries, lists, texts and numbers.

    Parameters
    ----------
    simulation : Simulation
        Whose truth.

    Returns
    -------
    dict
        Marks are samples counted from 0, None where a wave is absent or cut off. Under
        ``"scenario"`` stands the scenario as TOML, from which all can be made again.
    """
    truth = simulation.truth
    return {
        "name": simulation.scenario.name,
        "title": simulation.scenario.title,
        "rate_hz": simulation.recording.rate_hz,
        "sample_count": simulation.recording.sample_count,
        "heart": _heart(truth.heart),
        "beats": [
            {"sample": sample, "kind": str(kind)}
            for sample, kind in zip(truth.beat_samples.tolist(), truth.beat_kinds, strict=True)
        ],
        "overall": _overall(truth.overall),
        "lone_p_onsets": _marks(truth.lone_p_onsets),
        "leads": {
            lead: {
                "p": _bounds(truth.p, row),
                "qrs": _bounds(truth.qrs, row),
                "t": _bounds(truth.t, row),
            }
            for row, lead in enumerate(simulation.recording.leads)
        },
        "faults": [_plain(fault) for fault in truth.faults],
        "contacts": [_plain(contact) for contact in truth.contacts],
        "cables": {str(cable): str(site) for cable, site in truth.cables.items()},
        "placement": str(truth.placement),
        "shifts": [_plain(shift) for shift in truth.shifts],
        "scenario": scenario_to_toml(simulation.scenario),
    }


def _heart(heart: HeartTruth) -> dict[str, object]:
    return {
        "rate_per_min": heart.rate_per_min,
        "p_ms": heart.p_ms,
        "pr_ms": heart.pr_ms,
        "qrs_ms": heart.qrs_ms,
        "qtc_ms": heart.qtc_ms,
        "qrs_axis_deg": heart.qrs_axis_deg,
    }


def _overall(overall: OverallTruth) -> dict[str, object]:
    return {
        "p_onset": _marks(overall.p_onset),
        "p_offset": _marks(overall.p_offset),
        "qrs_onset": _marks(overall.qrs_onset),
        "qrs_offset": _marks(overall.qrs_offset),
        "t_offset": _marks(overall.t_offset),
    }


def _bounds(bounds: WaveBounds, row: int) -> dict[str, object]:
    return {
        "onset": _marks(bounds.onset[row]),
        "peak": _marks(bounds.peak[row]),
        "offset": _marks(bounds.offset[row]),
    }


def _marks(samples: FloatArray) -> list[float | None]:
    return [None if np.isnan(sample) else round(sample, 2) for sample in samples.tolist()]


def _plain(value: object) -> dict[str, object]:
    return cast("dict[str, object]", to_plain(value))
