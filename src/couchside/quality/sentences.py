"""Each cause of noise in one sentence: what, from where, how much, what it hides, when."""

from __future__ import annotations

from couchside.quality import thresholds
from couchside.quality.causes import Cause
from couchside.quality.model import FindingKind, Hidden, Reading
from couchside.quality.nature import floats, is_loose, may_be_the_heart
from couchside.quality.signals import Signals
from couchside.quality.windows import Spans
from couchside.quality.wording import join_words, name_electrodes, name_leads, say_microvolts
from couchside.recording import Electrode
from couchside.waves.model import Waves


def say_cause(
    causes: list[Cause], hides: tuple[Hidden, ...], signals: Signals, waves: Waves
) -> str:
    """Say what goes together with one cause, the heaviest first, and what that one hides."""
    cause = causes[0]
    level, when = say_microvolts(cause.level_uv), say_when(cause.spans_s)
    if floats(cause):
        return (
            f"The {name_electrodes(cause.electrodes)} has lost contact: "
            f"{_mid_sentence(cause.kind, signals)}, {level}, in "
            f"{name_leads(cause.leads, signals.leads)}{when}."
        )
    also = "".join(
        f" with {_mid_sentence(each.kind, signals)}" for each in causes[1:2] if each.electrodes
    )
    end = f"{level}, {_effect(cause, hides, signals)}{when}"
    if is_loose(causes):
        name = name_electrodes(cause.electrodes)
        return f"The {name} seems loose: {_mid_sentence(cause.kind, signals)}{also}, {end}."
    doubt = "; it may be the heart itself" if may_be_the_heart(cause, waves) else ""
    return f"{_name_kind(cause.kind, signals)}{also}{_origin(cause)}, {end}{doubt}."


def _effect(cause: Cause, hides: tuple[Hidden, ...], signals: Signals) -> str:
    """What it hides above all, or else where it shows."""
    plural = "" if cause.kind == FindingKind.POP else "s"
    lost = {each.what: each.leads for each in hides}
    beats_lost = len(lost.get(Reading.QRS, ())) > len(cause.leads) / 2
    for what, verb, words in _EFFECTS:
        if lost.get(what) and (beats_lost or what != Reading.QRS):
            return f"{verb}{plural} {words} in {name_leads(lost[what], signals.leads)}"
    return f"show{plural} in {name_leads(cause.leads, signals.leads)}"


_EFFECTS = (
    (Reading.QRS, "hide", "the beats"),
    (Reading.P_WAVE, "hide", "the P wave"),
    (Reading.ST_LEVEL, "move", "the ST level"),
    (Reading.T_WAVE, "hide", "the T wave"),
)


def _origin(cause: Cause) -> str:
    if not cause.electrodes:
        return ""
    if len(cause.electrodes) > thresholds.MOST_CULPRITS:
        return " from several electrodes"
    if cause.electrodes == (Electrode.RL,):
        return " in step at many electrodes, probably from the right-leg electrode"
    return f" from the {name_electrodes(cause.electrodes)}"


def _name_kind(kind: FindingKind, signals: Signals) -> str:
    if kind == FindingKind.MAINS:
        return f"Mains interference of {signals.mains_hz:.0f} Hz"
    return {
        FindingKind.WANDER: "Baseline wander",
        FindingKind.MUSCLE_TREMOR: "Muscle tremor",
        FindingKind.LIMB_TREMOR: "Tremor of a shaking limb",
        FindingKind.MOVEMENT: "Movement",
        FindingKind.POP: "Jumps of the baseline",
    }[kind]


def _mid_sentence(kind: FindingKind, signals: Signals) -> str:
    name = _name_kind(kind, signals)
    return name[0].lower() + name[1:]


def say_when(spans_s: Spans) -> str:
    """Say when, led by a comma; nothing where it is all through."""
    if not spans_s:
        return ""
    if len(spans_s) > _MOST_SPANS_TOLD:
        return f", {len(spans_s)} times between {spans_s[0][0]:g} and {spans_s[-1][1]:g} s"
    return f", {join_words(f'{start:g}–{end:g}' for start, end in spans_s)} s"


_MOST_SPANS_TOLD = 3
