"""What a beating heart makes of the potential under each of the ten electrodes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.recording import Electrode, get_lead_matrix
from couchside.simulate.cables import potentials_at_cables
from couchside.simulate.chance import Chance
from couchside.simulate.heart.atria import atrial_waves
from couchside.simulate.heart.beats import DrawnBeats, draw_beats
from couchside.simulate.heart.growth import usual_at
from couchside.simulate.heart.pacing import add_spikes
from couchside.simulate.heart.rhythm import Plan, plan_beats
from couchside.simulate.heart.traits import Heart, heart_of
from couchside.simulate.scenario import Scenario
from couchside.simulate.torso import Site, electrode_vectors, hand_placed, sites_for

FloatArray = NDArray[np.float64]

_BREATHING_TILT = 0.035
_BREATHING_FILL = 0.03


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeartAtSkin:
    """A heart, its beats, and what they make of the skin's potentials.

    Parameters
    ----------
    heart : Heart
        Whose.
    plan : Plan
        When it beats.
    drawn : DrawnBeats
        Its sources, and where its waves begin and end.
    potentials_uv : array of shape (electrode, sample)
        Under the ten electrodes, in the order of `ELECTRODES`, without any noise.
    """

    heart: Heart
    plan: Plan
    drawn: DrawnBeats
    potentials_uv: FloatArray


def heart_at_skin(scenario: Scenario) -> HeartAtSkin:
    """Let the heart of a scenario beat.

    Parameters
    ----------
    scenario : Scenario
        Its body, state, placement, shifts, room and rate are used.
    """
    seed, rate_hz = scenario.seed, scenario.recorder.rate_hz
    breath_hz = scenario.room.breath_per_min / 60.0
    heart = heart_of(scenario.body, scenario.state, Chance(seed, "day"))
    plan = plan_beats(
        heart,
        scenario.state,
        duration_s=scenario.duration_s,
        breath_hz=breath_hz,
        chance=Chance(seed, "rhythm"),
    )
    vectors = electrode_vectors(_sites(scenario))
    drawn = draw_beats(
        heart,
        plan,
        sample_count=round(scenario.duration_s * rate_hz),
        rate_hz=rate_hz,
        lead_vectors=get_lead_matrix() @ potentials_at_cables(vectors, scenario.cables),
        chance=Chance(seed, "beats"),
    )
    seconds = np.arange(drawn.sources_uv.shape[1]) / rate_hz
    drawn.sources_uv[:3] += atrial_waves(
        scenario.state, plan, heart.rate_per_min, seconds, Chance(seed, "atria")
    )
    add_spikes(drawn.sources_uv, plan, rate_hz)
    breathing = _breathing(drawn.sources_uv, np.sin(2.0 * np.pi * breath_hz * seconds))
    return HeartAtSkin(heart=heart, plan=plan, drawn=drawn, potentials_uv=vectors @ breathing)


def _sites(scenario: Scenario) -> dict[Electrode, Site]:
    size = usual_at(scenario.body.age_years, scenario.body.sex).torso_size
    aim = sites_for(scenario.true_placement, scenario.shifts, size)
    return hand_placed(aim, scenario.placing_error_cm, Chance(scenario.seed, "placing"))


def _breathing(sources: FloatArray, breath: FloatArray) -> FloatArray:
    """Breathing tilts the heart a little, and the lungs' air weakens what reaches the skin."""
    tilt = _BREATHING_TILT * breath
    tilted = sources.copy()
    tilted[0] -= tilt * sources[1]
    tilted[1] += tilt * sources[0]
    tilted *= 1.0 - _BREATHING_FILL * breath
    return tilted
