"""Findings from noise and from leads without a signal: one for each cause."""

from __future__ import annotations

import numpy as np

from couchside.quality import thresholds
from couchside.quality.causes import Cause, find_causes
from couchside.quality.hidden import ST_LEVEL, name_what_is_hidden
from couchside.quality.lost import DeadLeads, dead_windows, find_dead_leads
from couchside.quality.model import Finding, FindingKind, Verdict
from couchside.quality.readable import Readability, judge_readability
from couchside.quality.remedies import word_remedy
from couchside.quality.signals import Signals
from couchside.quality.spoils import BAND_OF_KIND, find_spoils
from couchside.quality.wording import join_words, name_electrodes, name_leads, say_microvolts
from couchside.recording import Electrode
from couchside.waves.model import Waves


def check_noise(signals: Signals, waves: Waves) -> tuple[Finding, ...]:
    """Weigh the noise, trace it to electrodes and say what it hides."""
    spoils = find_spoils(signals)
    reading = judge_readability(spoils, signals.window_samples / signals.rate_hz)
    dead = dead_windows(spoils)
    lost = tuple(_word_dead(group, signals, reading) for group in find_dead_leads(spoils, signals))
    causes = [cause for kind in BAND_OF_KIND for cause in find_causes(spoils[kind], signals, dead)]
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
    for cause in named:
        groups.setdefault(cause.electrodes, []).append(cause)
    for number, cause in enumerate(heaviest_first):
        if len(cause.electrodes) == 1:
            continue
        over = next((each for each in named if _covers(each, cause)), None)
        groups.setdefault(over.electrodes if over else number, []).append(cause)
    return sorted(groups.values(), key=lambda group: -group[0].weight)


def _covers(named: Cause, cause: Cause) -> bool:
    if cause.kind not in _LEFT_OVER_KINDS or named.windows.sum() < cause.windows.sum() / 2:
        return False
    both = (named.windows & cause.windows).sum()
    return bool(both >= thresholds.COVERED_SHARE * cause.windows.sum())


_LOOSE_KINDS = frozenset({FindingKind.POP, FindingKind.MOVEMENT, FindingKind.WANDER})
_LEFT_OVER_KINDS = frozenset({FindingKind.POP, FindingKind.MOVEMENT})


def _word_dead(group: DeadLeads, signals: Signals, reading: Readability) -> Finding:
    lost = [name for name in group.leads if reading.unreadable[signals.leads.index(name)]]
    asks = Verdict.RECORD_AGAIN if lost else Verdict.KEEP_WITH_REMARK
    leads = name_leads(group.leads, signals.leads)
    if group.electrodes:
        names = name_electrodes(group.electrodes)
        have = "has" if len(group.electrodes) == 1 else "have"
        sentence = f"The {names} {have} lost contact: no signal in {leads}{_when(group.spans_s)}."
    else:
        what = _WITHOUT_ELECTRODE[group.kind]
        sentence = f"{what} in {leads}{_when(group.spans_s)}."
    return Finding(
        kind=group.kind,
        asks=asks,
        sentence=sentence,
        remedy=word_remedy(group.kind, group.electrodes, asks),
        confidence=group.confidence,
        electrodes=group.electrodes,
        leads=group.leads,
        spans_s=group.spans_s,
        figures={"share_of_time": group.share},
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
    kind = FindingKind.LOST_CONTACT if _floats(cause) else cause.kind
    return Finding(
        kind=kind,
        asks=asks,
        sentence=_sentence(causes, signals, waves),
        remedy=(
            "Look at the person first; the fast rhythm itself may look like this."
            if _may_be_the_heart(cause, waves)
            else word_remedy(
                FindingKind.LOST_CONTACT if _is_loose(causes) else kind, cause.electrodes, asks
            )
        ),
        confidence=cause.confidence,
        electrodes=cause.electrodes,
        leads=cause.leads,
        spans_s=cause.spans_s,
        figures=_figures(causes, signals),
    )


def _asks(cause: Cause, signals: Signals, reading: Readability, waves: Waves) -> Verdict:
    if _may_be_the_heart(cause, waves):
        return Verdict.KEEP_WITH_REMARK
    if _floats(cause) and cause.windows.mean() >= thresholds.LOST_SHARE:
        return Verdict.RECORD_AGAIN
    for name in cause.leads:
        row = signals.leads.index(name)
        if reading.unreadable[row] and (reading.hidden[row] & cause.windows).any():
            return Verdict.RECORD_AGAIN
    hidden, _ = name_what_is_hidden(cause.kind, _lead_level_uv(cause), cause.leads, waves)
    lasts = cause.windows.mean() >= thresholds.LASTING_SHARE
    if cause.level_uv >= thresholds.REMARK_UV[cause.kind] or (hidden and lasts):
        return Verdict.KEEP_WITH_REMARK
    return Verdict.KEEP


def _may_be_the_heart(cause: Cause, waves: Waves) -> bool:
    """Noise of no one electrode while beats come fast: a rhythm must not be recorded away."""
    sure = cause.blamed == 1 and cause.fit >= thresholds.FAULTY_BEAT_SHARE
    if sure or cause.kind not in _LEFT_OVER_KINDS or waves.beat_count < 3:
        return False
    usual_rr_s = float(np.median(np.diff(waves.beat_samples))) / waves.rate_hz
    return usual_rr_s < thresholds.FAST_RR_S


def _sentence(causes: list[Cause], signals: Signals, waves: Waves) -> str:
    cause = causes[0]
    level, when = say_microvolts(cause.level_uv), _when(cause.spans_s)
    if _floats(cause):
        return (
            f"The {name_electrodes(cause.electrodes)} has lost contact: "
            f"{_mid_sentence(cause.kind, signals)}, {level}, in "
            f"{name_leads(cause.leads, signals.leads)}{when}."
        )
    also = "".join(
        f" with {_mid_sentence(each.kind, signals)}" for each in causes[1:2] if each.electrodes
    )
    end = f"{level}, {_effect(cause, signals, waves)}{when}"
    if _is_loose(causes):
        name = name_electrodes(cause.electrodes)
        return f"The {name} seems loose: {_mid_sentence(cause.kind, signals)}{also}, {end}."
    doubt = "; it may be the heart itself" if _may_be_the_heart(cause, waves) else ""
    return f"{_name_kind(cause.kind, signals)}{also}{_origin(cause)}, {end}{doubt}."


def _is_loose(causes: list[Cause]) -> bool:
    """Mains comes in where contact is poor; with movement at the same electrode, it is loose."""
    kinds = {cause.kind for cause in causes if len(cause.electrodes) == 1}
    return FindingKind.MAINS in kinds and bool(kinds & _LOOSE_KINDS)


def _effect(cause: Cause, signals: Signals, waves: Waves) -> str:
    hidden, where = name_what_is_hidden(cause.kind, _lead_level_uv(cause), cause.leads, waves)
    plural = "" if cause.kind == FindingKind.POP else "s"
    if not hidden:
        return f"show{plural} in {name_leads(cause.leads, signals.leads)}"
    verb = "move" if hidden == ST_LEVEL else "hide"
    return f"{verb}{plural} {hidden} in {name_leads(where, signals.leads)}"


def _floats(cause: Cause) -> bool:
    """So much noise of one electrode that its input must be open."""
    one = len(cause.electrodes) == 1
    return one and cause.level_uv >= thresholds.FLOATING_UV[cause.kind]


def _lead_level_uv(cause: Cause) -> float:
    """A jump is counted as its height, other noise as rms."""
    if cause.kind == FindingKind.POP:
        return cause.level_uv / thresholds.PEAK_TO_PEAK_OVER_RMS
    return cause.level_uv


def _origin(cause: Cause) -> str:
    if not cause.electrodes:
        return ""
    if len(cause.electrodes) > thresholds.MOST_CULPRITS:
        return " from several electrodes"
    return f" from the {name_electrodes(cause.electrodes)}"


def _name_kind(kind: FindingKind, signals: Signals) -> str:
    if kind == FindingKind.MAINS:
        return f"Mains interference of {signals.mains_hz:.0f} Hz"
    return {
        FindingKind.WANDER: "Baseline wander",
        FindingKind.MUSCLE_TREMOR: "Muscle tremor",
        FindingKind.MOVEMENT: "Movement",
        FindingKind.POP: "Jumps of the baseline",
    }[kind]


def _mid_sentence(kind: FindingKind, signals: Signals) -> str:
    name = _name_kind(kind, signals)
    return name[0].lower() + name[1:]


def _when(spans_s: tuple[tuple[float, float], ...]) -> str:
    if not spans_s:
        return ""
    if len(spans_s) > _MOST_SPANS_TOLD:
        return f", {len(spans_s)} times between {spans_s[0][0]:g} and {spans_s[-1][1]:g} s"
    return f", {join_words(f'{start:g}–{end:g}' for start, end in spans_s)} s"


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
    FindingKind.MOVEMENT: "movement_rms_uv",
    FindingKind.POP: "largest_jump_uv",
}
_MOST_SPANS_TOLD = 3
