"""The finding of exchanged cables, from the scores of all arrangements."""

from __future__ import annotations

from couchside.quality.interchange.arrangements import (
    ARRANGEMENTS,
    Arrangement,
    ArrangementGroup,
)
from couchside.quality.interchange.features import BeatFeatures
from couchside.quality.interchange.scoring import (
    ArrangementScores,
    EarlierEvidence,
    score_arrangements,
)
from couchside.quality.interchange.words import (
    is_turned_to_the_right,
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
    LIMB_LEADS,
    Electrode,
)

LEAST_RUNNER_UP = 0.02
TOLD_OF_THEN = 0.1
"""From this probability on, that the earlier recording was exchanged is told beside (by design)."""
OPEN_CONFIDENCE = 0.5
"""Told of two things between which nothing decides (by design)."""


def check_cables(
    features: BeatFeatures | None, *, earlier: EarlierEvidence | None = None
) -> tuple[Finding, ...]:
    """At most one finding of exchanged cables.

    Parameters
    ----------
    features : BeatFeatures or None
        Of the representative beat, one or two cables left out that cannot be read; with None
        nothing is said.
    earlier : EarlierEvidence, optional
        What an earlier recording of the same person says of the cables.
    """
    if features is None:
        return ()
    scores = score_arrangements(features, earlier=earlier)
    if scores.exchanged:
        return (_tell(scores, features, earlier),)
    turned = is_turned_to_the_right(features) and may_lie_on_the_right(features)
    return (_leave_open(_ARMS),) if turned else ()


def check_lost_cables(features: BeatFeatures | None) -> tuple[Finding, ...]:
    """The same, of cables on the right leg alone, which makes one lead a copy of another."""
    found = check_cables(features)
    return tuple(each for each in found if Electrode.RL in each.electrodes)


def _tell(
    scores: ArrangementScores, features: BeatFeatures, earlier: EarlierEvidence | None
) -> Finding:
    best = scores.best
    if best.group in _TURNS_LEAD_I and may_lie_on_the_right(features):
        return _leave_open(best)
    chance = _chance_of_like(scores)
    return Finding(
        kind=FindingKind.CABLES_EXCHANGED,
        asks=Verdict.RECORD_AGAIN,
        sentence=f"{_say(scores, features, earlier)}{_say_runner_up(scores)}.",
        remedy=f"Put the {name_cables(best.displaced)} where they belong, then record again.",
        confidence=chance,
        electrodes=best.displaced,
        leads=_affected_leads(best),
        figures={"probability": chance},
        hides=_hidden(best),
        further_remedies=(LOOK_AT_PREVIEW,) if best.can_be_undone else (),
        hung=best.cables,
    )


def _say(scores: ArrangementScores, features: BeatFeatures, earlier: EarlierEvidence | None) -> str:
    best = scores.best
    if earlier is None or not _is_liker(best, earlier):
        return f"{say_arrangement(best)}: {say_evidence(best, features)}"
    if scores.probability_then >= TOLD_OF_THEN:
        return (
            f"{say_arrangement(best)}, in this recording or in the one {earlier.when}: with them "
            "put back the two are much more alike"
        )
    return (
        f"{say_arrangement(best)}: {say_evidence(best, features)}, and put back they are much more "
        f"like the recording {earlier.when}"
    )


def _is_liker(best: Arrangement, earlier: EarlierEvidence) -> bool:
    """Whether the earlier recording speaks for the arrangement."""
    return bool(earlier.hung_now[ARRANGEMENTS.index(best)] > earlier.hung_now[0])


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


_ARMS = next(e for e in ARRANGEMENTS if set(e.cables) == {Electrode.RA, Electrode.LA})
_TURNS_LEAD_I = {ArrangementGroup.LIMB, ArrangementGroup.LEFT_ARM_LEFT_LEG}
LOOK_AT_PREVIEW = (
    "If the person has left, look at the preview put right by software; it is derived and does "
    "not replace a recording."
)


def _chance_of_like(scores: ArrangementScores) -> float:
    """Probability of the best with all that leave the same recording but for the right leg."""
    whole = sum(chance for each, chance in scores.ranked if each.looks_like(scores.best))
    return min(whole, 1.0)


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
