"""Electrodes beside their place: ordinary recordings, simulated people, real hearts moved.

The signs that were tried and are not told stand here too, so that their figures can be made again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from benchmarks.interchange.recordings import OpenRecording, read_recordings
from benchmarks.quality.tables import Table, rate
from couchside.quality import Assessment, FindingKind, check
from couchside.quality.interchange.features import (
    P_PLACES,
    QRS_PLACES,
    BeatFeatures,
    find_features,
)
from couchside.quality.misplacement import looks_too_high
from couchside.recording import INDEPENDENT_LEADS, Electrode, Placement, get_lead_matrix
from couchside.simulate import Scenario, simulate
from couchside.simulate.population import random_patient
from couchside.simulate.torso import ElectrodeShift
from couchside.simulate.torso.lead_field import electrode_vectors
from couchside.simulate.torso.sites import INTERSPACE_CM, sites_for
from couchside.waves import RepresentativeBeat

FloatArray = NDArray[np.float64]
Sign = Callable[[BeatFeatures], bool]

FIRST_SEED, PEOPLE = 5000, 80
ROW_CM = 3.0
_HIGH = (Electrode.C1, Electrode.C2)
_ROW = (Electrode.C3, Electrode.C4, Electrode.C5, Electrode.C6)


@dataclass(frozen=True, slots=True, kw_only=True)
class Placing:
    """Where the electrodes really sit, whatever is stated."""

    placement: Placement = Placement.STANDARD
    shifts: tuple[ElectrodeShift, ...] = ()

    def take(self, scenario: Scenario) -> Scenario:
        """The scenario with its electrodes there, and nothing said of it."""
        return replace(scenario, placed_as=self.placement, shifts=self.shifts)

    def move(self, beat: RepresentativeBeat) -> RepresentativeBeat:
        """A beat as it would look there, were the heart a dipole; what no dipole explains stays."""
        rows = [beat.leads.index(name) for name in INDEPENDENT_LEADS]
        before, after = _dipole_leads(Placing()), _dipole_leads(self)
        moving = np.eye(len(rows)) + (after - before) @ np.linalg.pinv(before)
        leads = tuple(map(str, INDEPENDENT_LEADS))
        return replace(beat, leads=leads, microvolts=moving @ beat.microvolts[rows])


def _shift(
    electrodes: Sequence[Electrode], *, left_cm: float = 0.0, down_cm: float = 0.0
) -> tuple[ElectrodeShift, ...]:
    return tuple(
        ElectrodeShift(electrode=each, left_cm=left_cm, down_cm=down_cm) for each in electrodes
    )


PLACINGS: Mapping[str, Placing] = {
    "in place": Placing(),
    "V1 and V2 one interspace up": Placing(shifts=_shift(_HIGH, down_cm=-INTERSPACE_CM)),
    "V1 and V2 two interspaces up": Placing(shifts=_shift(_HIGH, down_cm=-2.0 * INTERSPACE_CM)),
    "V3–V6 3 cm too low": Placing(shifts=_shift(_ROW, down_cm=ROW_CM)),
    "V3–V6 3 cm too lateral": Placing(shifts=_shift(_ROW, left_cm=ROW_CM)),
    "limb electrodes on the torso": Placing(placement=Placement.TORSO),
}


def measure_misplacement(folder: Path) -> list[Table]:
    """What is told of ordinary recordings and of displaced electrodes, and what is not told."""
    ordinary = [(each, check(each.recording)) for each in read_recordings(folder)]
    simulated = {
        name: [
            check(simulate(placing.take(random_patient(FIRST_SEED + person))).recording)
            for person in range(PEOPLE)
        ]
        for name, placing in PLACINGS.items()
    }
    return [
        _ordinary_table(ordinary),
        _displaced_table(simulated),
        _sign_table(
            [_beat(told) for each, told in ordinary if each.to_fit],
            [_beat(told) for each, told in ordinary if not each.to_fit],
            {name: [_beat(told) for told in people] for name, people in simulated.items()},
        ),
    ]


def _is_told(assessment: Assessment) -> bool:
    return any(found.kind == FindingKind.MISPLACED for found in assessment.findings)


def _beat(assessment: Assessment) -> RepresentativeBeat | None:
    return assessment.waves.representative


def _ordinary_table(ordinary: Sequence[tuple[OpenRecording, Assessment]]) -> Table:
    rows = []
    for database in ("ludb", "ptbxl", "cinc2020", "all"):
        for half, to_fit in (("fitted to", True), ("reported", False)):
            part = [
                _is_told(told)
                for each, told in ordinary
                if each.to_fit is to_fit and database in (each.database, "all")
            ]
            rows.append((f"{database}, {half}", rate(sum(part), len(part))))
    return Table(
        title="Misplacement: remarks on ordinary recordings",
        about=(
            "How often V1 and V2 are said to be perhaps too high, by the whole check. Nobody knows "
            "where the electrodes sat: technicians put V1 and V2 over 1.5 cm too high in more than "
            "half of the cases [WengerKligfield1996]. The halves are those of the cables; the "
            "limit was chosen on the first. It is a remark and asks nobody to record again."
        ),
        columns=("recordings", "remarked on"),
        rows=tuple(rows),
    )


def _displaced_table(simulated: Mapping[str, Sequence[Assessment]]) -> Table:
    return Table(
        title="Misplacement: simulated displacement",
        about=(
            f"{PEOPLE} simulated people (seeds from {FIRST_SEED}, not used for choosing), about "
            "half with a heart to remark on; each recorded with the electrodes in every place, by "
            "the whole check. Only V1 and V2 too high is told."
        ),
        columns=("electrodes", "told that V1 and V2 may be too high"),
        rows=tuple(
            (name, rate(sum(map(_is_told, people)), len(people)))
            for name, people in simulated.items()
        ),
    )


def _sign_table(
    fitted: Sequence[RepresentativeBeat | None],
    reported: Sequence[RepresentativeBeat | None],
    simulated: Mapping[str, Sequence[RepresentativeBeat | None]],
) -> Table:
    rows = []
    for name, (sign, placed) in _signs(list(_features(fitted))).items():
        moved = [None if beat is None else PLACINGS[placed].move(beat) for beat in reported]
        parts = (fitted, reported, moved, simulated["in place"], simulated[placed])
        rows.append((name, placed, *(_share(sign, _features(part)) for part in parts)))
    return Table(
        title="Misplacement: every sign that was tried",
        about=(
            "The sign alone, on recordings with all leads and a QRS; all kinds of hearts. Real "
            "moved: the reported half carried to the displaced sites by the torso model's "
            "dipole, what no dipole explains left as it is. Only the first is told: it was seen "
            "on people with electrodes really moved [GarciaNiebla2012]. Each of the others would "
            "add as many remarks on ordinary recordings and finds one moved real heart in seven "
            "at best. The bounds of the chest-row signs are the 95th centiles of the fitting half."
        ),
        columns=(
            "sign",
            "displacement",
            "ordinary, fitted to",
            "ordinary, reported",
            "real moved",
            "simulated in place",
            "simulated displaced",
        ),
        rows=tuple(rows),
    )


def _signs(fitted: Sequence[BeatFeatures]) -> dict[str, tuple[Sign, str]]:
    low = float(np.percentile([_late_r(each) for each in fitted], 95.0))
    lateral = float(np.percentile([-_late_r(each) for each in fitted], 95.0))
    return {
        "P negative in V1 and V2 (told)": (looks_too_high, "V1 and V2 one interspace up"),
        "P negative in V1 and V2 (told), two up": (looks_too_high, "V1 and V2 two interspaces up"),
        "rSr′ after a negative P in V1": (_has_rsr, "V1 and V2 two interspaces up"),
        "QRS and P vertical, little R in I and aVL": (
            _is_vertical,
            "limb electrodes on the torso",
        ),
        "R higher in V6 than in V4": (lambda each: _late_r(each) > low, "V3–V6 3 cm too low"),
        "R lower in V6 than in V4": (
            lambda each: -_late_r(each) > lateral,
            "V3–V6 3 cm too lateral",
        ),
    }


def _share(sign: Sign, part: Iterator[BeatFeatures]) -> str:
    hits = [sign(each) for each in part]
    return f"{100.0 * sum(hits) / len(hits):.1f} % of {len(hits)}"


def _features(beats: Sequence[RepresentativeBeat | None]) -> Iterator[BeatFeatures]:
    for beat in beats:
        features = find_features(beat)
        if features is not None:
            yield features


def _is_vertical(features: BeatFeatures) -> bool:
    """[Papouchado1987], bounds chosen on the fitting half."""
    p, qrs = _lead_waves(features)
    upright = 60.0 < _axis_deg(qrs) < 110.0 and _axis_deg(p) > 55.0
    little = float(np.std(qrs["I"]) / max(float(np.std(qrs["V6"])), 1.0)) < 0.35
    return features.has_p and upright and little and bool(qrs["aVL"].max() < 250.0)


def _has_rsr(features: BeatFeatures) -> bool:
    """[GarciaNiebla2012]; r and r′ of 20 µV with S of 100 µV between them."""
    p, qrs = _lead_waves(features)
    v1 = qrs["V1"]
    deepest = int(v1.argmin())
    r, r_again = v1[:deepest].max(initial=0.0), v1[deepest:].max()
    wholly_negative = features.has_p and p["V1"].max() < 5.0 and p["V1"].min() < -20.0
    return bool(wholly_negative and min(r, r_again) > 20.0 and v1[deepest] < -100.0)


def _late_r(features: BeatFeatures) -> float:
    """R in V6 over R in V4, natural logarithm; R of less than 50 µV counts as that."""
    _, qrs = _lead_waves(features)
    v4, v6 = (max(float(qrs[name].max()), 50.0) for name in ("V4", "V6"))
    return float(np.log(v6 / v4))


def _axis_deg(wave: Mapping[str, FloatArray]) -> float:
    upward = 2.0 / np.sqrt(3.0) * wave["aVF"].mean()
    return float(np.degrees(np.arctan2(upward, wave["I"].mean())))


def _lead_waves(features: BeatFeatures) -> tuple[dict[str, FloatArray], dict[str, FloatArray]]:
    """P and QRS of the leads that the signs look at."""
    right, left, foot, *chest = features.potentials_uv
    wilson = (right + left + foot) / 3.0
    leads = {
        "I": left - right,
        "aVL": 1.5 * (left - wilson),
        "aVF": 1.5 * (foot - wilson),
        **{f"V{place}": each - wilson for place, each in enumerate(chest, start=1)},
    }
    qrs = slice(P_PLACES, P_PLACES + QRS_PLACES)
    return (
        {name: wave[:P_PLACES] for name, wave in leads.items()},
        {name: wave[qrs] for name, wave in leads.items()},
    )


def _dipole_leads(placing: Placing) -> FloatArray:
    vectors = electrode_vectors(sites_for(placing.placement, placing.shifts))
    leads: FloatArray = get_lead_matrix(INDEPENDENT_LEADS) @ vectors[:, :3]
    return leads
