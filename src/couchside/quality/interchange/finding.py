"""The finding of exchanged cables, from the scores of all arrangements."""

from __future__ import annotations

from collections.abc import Iterable

from couchside.quality.interchange.arrangements import Arrangement, ArrangementGroup
from couchside.quality.interchange.features import BeatFeatures, find_features
from couchside.quality.interchange.scoring import ArrangementScores, score_arrangements
from couchside.quality.interchange.words import (
    may_lie_on_the_right,
    name_arrangement,
    name_cables,
    say_arrangement,
    say_evidence,
)
from couchside.quality.model import Finding, FindingKind, Hidden, Reading, Verdict
from couchside.recording import (
    CHEST_ELECTRODES,
    CHEST_LEADS,
    INDEPENDENT_LEADS,
    LIMB_LEADS,
    Electrode,
)
from couchside.waves import Waves

LEAST_RUNNER_UP = 0.02
OPEN_CONFIDENCE = 0.5
"""Told of two things between which nothing decides (by design)."""


def check_cables(
    waves: Waves, spoiled_leads: Iterable[str], *, earlier: Waves | None = None
) -> tuple[Finding, ...]:
    """At most one finding of exchanged cables.

    Parameters
    ----------
    waves : Waves
        With the representative beat.
    spoiled_leads : iterable of str
        Leads that cannot be read; where one of I, II, V1..V6 is among them, nothing is said.
    earlier : Waves, optional
        Of an earlier recording of the same person.
    """
    if set(INDEPENDENT_LEADS) & set(spoiled_leads):
        return ()
    features = find_features(waves.representative)
    if features is None:
        return ()
    before = None if earlier is None else find_features(earlier.representative)
    scores = score_arrangements(features, earlier=before)
    return (_tell(scores, features),) if scores.exchanged else ()


def _tell(scores: ArrangementScores, features: BeatFeatures) -> Finding:
    best = scores.best
    if best.group in _TURNS_LEAD_I and may_lie_on_the_right(features):
        return _leave_open(best)
    chance = _chance_of_like(scores)
    return Finding(
        kind=FindingKind.CABLES_EXCHANGED,
        asks=Verdict.RECORD_AGAIN,
        sentence=(
            f"{say_arrangement(best)}: {say_evidence(best, features)}{_say_runner_up(scores)}."
        ),
        remedy=f"Put the {name_cables(best.displaced)} where they belong, then record again.",
        confidence=chance,
        electrodes=best.displaced,
        leads=_affected_leads(best),
        figures={"probability": chance},
        hides=_hidden(best),
        further_remedies=(LOOK_AT_PREVIEW,) if best.can_be_undone else (),
    )


def _leave_open(best: Arrangement) -> Finding:
    return Finding(
        kind=FindingKind.CABLES_EXCHANGED,
        asks=Verdict.KEEP_WITH_REMARK,
        sentence=(
            "The limb leads look as with exchanged cables, but R is also lost from V1 to V6 as "
            "with a heart on the right side: it cannot be told which."
        ),
        remedy=(
            "Check every cable and record again if one is displaced; else keep this and add the "
            "right-sided chest leads."
        ),
        confidence=OPEN_CONFIDENCE,
        figures={"may_be_the_heart": 1.0},
        electrodes=best.displaced,
        leads=_affected_leads(best),
        hides=_hidden(best),
    )


_TURNS_LEAD_I = {ArrangementGroup.LIMB, ArrangementGroup.LEFT_ARM_LEFT_LEG}
LOOK_AT_PREVIEW = (
    "If the person has left, look at the preview put right by software; it is derived and does "
    "not replace a recording."
)


def _chance_of_like(scores: ArrangementScores) -> float:
    """Probability of the best with all that leave the same recording but for the right leg."""
    return sum(chance for each, chance in scores.ranked if each.looks_like(scores.best))


def _say_runner_up(scores: ArrangementScores) -> str:
    """Name the next likely exchange, where there is one worth a glance."""
    for each, chance in scores.ranked:
        other = each.group is not ArrangementGroup.IN_PLACE and not each.looks_like(scores.best)
        if other:
            return f" (else {name_arrangement(each)})" if chance >= LEAST_RUNNER_UP else ""
    return ""


def _affected_leads(arrangement: Arrangement) -> tuple[str, ...]:
    moved = [each for each in arrangement.displaced if each not in CHEST_ELECTRODES]
    chest = [lead for lead in CHEST_LEADS if Electrode(f"C{lead[1]}") in arrangement.displaced]
    if not moved:
        return tuple(map(str, chest))
    bent = arrangement.lost is not None or chest
    return tuple(map(str, (*LIMB_LEADS, *(CHEST_LEADS if bent else ()))))


def _hidden(arrangement: Arrangement) -> tuple[Hidden, ...]:
    leads = _affected_leads(arrangement)
    axes = (Reading.AXIS, Reading.P_AXIS) if set(LIMB_LEADS) & set(leads) else ()
    waves = (Reading.QRS, Reading.ST_LEVEL, Reading.T_WAVE, Reading.P_WAVE)
    return (
        *(Hidden(what=each) for each in (*axes, Reading.VOLTAGES)),
        *(Hidden(what=each, leads=leads) for each in waves),
    )
