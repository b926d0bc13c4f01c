"""Findings from noise and from leads without a signal: one for each cause."""

from __future__ import annotations

from itertools import chain

from couchside.quality import thresholds
from couchside.quality.blame import how_sure
from couchside.quality.causes import Cause, find_causes
from couchside.quality.hidden import find_hidden, gather, hidden_by_loss
from couchside.quality.lost import DeadLeads, dead_windows, find_dead_leads, without_company
from couchside.quality.model import Finding, FindingKind, Verdict
from couchside.quality.nature import LEFT_OVER_KINDS, floats, is_loose, may_be_the_heart, put_first
from couchside.quality.readable import Readability, judge_readability
from couchside.quality.remedies import word_remedies
from couchside.quality.sentences import say_cause, say_when
from couchside.quality.shaking import find_shaking
from couchside.quality.signals import Signals
from couchside.quality.spoils import BAND_OF_KIND, Spoil
from couchside.quality.wording import name_electrodes, name_leads
from couchside.recording import Electrode
from couchside.waves.model import Waves


def check_noise(
    signals: Signals, waves: Waves, spoils: dict[FindingKind, Spoil]
) -> tuple[Finding, ...]:
    """Weigh the noise, trace it to electrodes and say what it hides."""
    reading = judge_readability(spoils, signals.window_samples / signals.rate_hz)
    dead = without_company(dead_windows(spoils))
    lost = tuple(_word_dead(group, signals, reading) for group in find_dead_leads(spoils, signals))
    causes = [cause for kind in BAND_OF_KIND for cause in find_causes(spoils[kind], signals, dead)]
    causes += find_shaking(signals, dead)
    noisy = tuple(_word_cause(group, signals, reading, waves) for group in _fold(causes))
    return lost + noisy


def _fold(causes: list[Cause]) -> list[list[Cause]]:
    """Causes that go together, heaviest first: of one electrode, or under an electrode's noise.

    Where an electrode's noise has spoilt the search for beats, parts of the heart are left over in
    every lead; such noise of no electrode is no cause of its own.
    """
    groups: dict[tuple[Electrode, ...] | int, list[Cause]] = {}
    heaviest_first = sorted(causes, key=lambda cause: -cause.weight)
    named = [cause for cause in heaviest_first if len(cause.electrodes) == 1]
    named = [each for each in named if not _is_left_over(each, named)]
    for cause in named:
        groups.setdefault(cause.electrodes, []).append(cause)
    for number, cause in enumerate(heaviest_first):
        if cause in named:
            continue
        over = next((each for each in named if _covers(each, cause)), None)
        groups.setdefault(over.electrodes if over else number, []).append(cause)
    heaviest = sorted(groups.values(), key=lambda group: -group[0].weight)
    return [put_first(group) for group in heaviest]


def _is_left_over(doubtful: Cause, named: list[Cause]) -> bool:
    """Whether it may be parts of beats, left by a noise of which another electrode is surer."""
    if doubtful.confidence >= thresholds.DOUBTFUL:
        return False
    return any(
        each.electrodes != doubtful.electrodes
        and each.kind not in LEFT_OVER_KINDS
        and each.confidence >= 1.0 - thresholds.DOUBTFUL
        and _covers(each, doubtful)
        for each in named
    )


def _covers(named: Cause, cause: Cause) -> bool:
    if cause.kind not in LEFT_OVER_KINDS or named.windows.sum() < cause.windows.sum() / 2:
        return False
    both = (named.windows & cause.windows).sum()
    return bool(both >= thresholds.COVERED_SHARE * cause.windows.sum())


def _word_dead(group: DeadLeads, signals: Signals, reading: Readability) -> Finding:
    lost = [name for name in group.leads if reading.unreadable[signals.leads.index(name)]]
    asks = Verdict.RECORD_AGAIN if lost else Verdict.KEEP_WITH_REMARK
    leads = name_leads(group.leads, signals.leads)
    if group.electrodes:
        names = name_electrodes(group.electrodes)
        have = "has" if len(group.electrodes) == 1 else "have"
        sentence = (
            f"The {names} {have} lost contact: no signal in {leads}{say_when(group.spans_s)}."
        )
    else:
        what = _WITHOUT_ELECTRODE[group.kind]
        sentence = f"{what} in {leads}{say_when(group.spans_s)}."
    first, *further = word_remedies(group.kind, group.electrodes, asks)
    return Finding(
        kind=group.kind,
        asks=asks,
        sentence=sentence,
        remedy=first,
        further_remedies=tuple(further),
        confidence=group.confidence,
        electrodes=group.electrodes,
        leads=group.leads,
        spans_s=group.spans_s,
        figures={"share_of_time": group.share, "unreadable_leads": float(len(lost))},
        hides=hidden_by_loss(group.leads, signals.leads),
    )


_WITHOUT_ELECTRODE = {
    FindingKind.LOST_CONTACT: "No signal",
    FindingKind.FLAT: "No signal",
    FindingKind.SATURATED: "The signal stands at the recorder's limit",
    FindingKind.MISSING_SAMPLES: "Samples are missing",
}


def _word_cause(
    causes: list[Cause], signals: Signals, reading: Readability, waves: Waves
) -> Finding:
    cause = causes[0]
    asks = max(
        (_asks(each, signals, reading, waves) for each in causes),
        key=list(Verdict).index,
    )
    hides = [find_hidden(each, signals.leads, waves) for each in causes]
    kind = _name(causes)
    first, *further = word_remedies(kind, cause.electrodes, asks)
    if may_be_the_heart(cause, waves):
        first, further = _PERSON_FIRST, [first, *further]
    return Finding(
        kind=kind,
        asks=asks,
        sentence=say_cause(causes, hides[0], signals, waves),
        remedy=first,
        further_remedies=tuple(further),
        confidence=_how_sure(cause),
        electrodes=cause.electrodes,
        leads=cause.leads,
        spans_s=cause.spans_s,
        figures={
            **_figures(causes, signals),
            "unreadable_leads": float(_count_unreadable(causes, signals, reading)),
            "may_be_the_heart": float(may_be_the_heart(cause, waves)),
            "open_input_share": float(cause.windows.mean()) if floats(cause) else 0.0,
        },
        hides=gather(chain.from_iterable(hides)),
    )


_PERSON_FIRST = "Look at the person first; the fast rhythm itself may look like this."


def _how_sure(cause: Cause) -> float:
    """Of the electrode, where its noise was traced to few; else as the cause has it."""
    traced = cause.fit > 0.0 and cause.blamed <= thresholds.MOST_CULPRITS
    return how_sure(cause.confidence) if traced else cause.confidence


def _name(causes: list[Cause]) -> FindingKind:
    if floats(causes[0]):
        return FindingKind.LOST_CONTACT
    return FindingKind.LOOSE_CONTACT if is_loose(causes) else causes[0].kind


def _asks(cause: Cause, signals: Signals, reading: Readability, waves: Waves) -> Verdict:
    """Whether it ends the reading; from where on the reader is told is the policy's to say."""
    if may_be_the_heart(cause, waves):
        return Verdict.KEEP
    if floats(cause) and cause.windows.mean() >= thresholds.LOST_SHARE:
        return Verdict.RECORD_AGAIN
    return Verdict.RECORD_AGAIN if _count_unreadable([cause], signals, reading) else Verdict.KEEP


def _count_unreadable(causes: list[Cause], signals: Signals, reading: Readability) -> int:
    """Leads that cannot be read and in which these causes take part."""
    rows = {
        (signals.leads.index(name), number)
        for number, cause in enumerate(causes)
        for name in cause.leads
    }
    return len(
        {
            row
            for row, number in rows
            if reading.unreadable[row] and (reading.hidden[row] & causes[number].windows).any()
        }
    )


def _figures(causes: list[Cause], signals: Signals) -> dict[str, float]:
    figures: dict[str, float] = {}
    for cause in causes:
        figures.setdefault(_FIGURE_NAMES[cause.kind], cause.level_uv)
    if causes[0].fit:
        figures["share_explained_by_electrodes"] = causes[0].fit
    if any(cause.kind == FindingKind.MAINS for cause in causes):
        figures["mains_hz"] = signals.mains_hz
    return figures


_FIGURE_NAMES = {
    FindingKind.WANDER: "wander_rms_uv",
    FindingKind.MAINS: "mains_rms_uv",
    FindingKind.MUSCLE_TREMOR: "tremor_rms_uv",
    FindingKind.LIMB_TREMOR: "limb_tremor_rms_uv",
    FindingKind.MOVEMENT: "movement_rms_uv",
    FindingKind.POP: "largest_jump_uv",
}
