"""Do the limb leads add up as they must: I + III = II, and the augmented leads from I and II."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.lead_names import Mistake, find_mistake, find_wrong_lead
from couchside.quality.model import Finding, FindingKind, Hidden, Reading, Verdict
from couchside.quality.wording import join_words
from couchside.recording import CHEST_LEADS, LIMB_LEADS, TWELVE_FROM_EIGHT, Recording
from couchside.waves.gaps import where_whole
from couchside.waves.medians import median_of_rows

FloatArray = NDArray[np.float64]

_DERIVED = LIMB_LEADS[2:]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Disagreement:
    """How far the derived limb leads are from what leads I and II say they must be.

    Parameters
    ----------
    leads : tuple of str
        Those of III, aVR, aVL and aVF that differ, worst first.
    largest_uv : float
        Largest difference, once the constant part of each lead is set aside.
    share : float
        Share of the samples that differ, in the worst lead.
    scale_only : bool
        Whether every lead agrees once each is given its own scale factor.
    """

    leads: tuple[str, ...]
    largest_uv: float
    share: float
    scale_only: bool


def check_identities(recording: Recording, lost_leads: Iterable[str]) -> tuple[Finding, ...]:
    """One finding where the limb leads do not add up; none where they do or cannot be compared.

    Parameters
    ----------
    recording : Recording
    lost_leads : iterable of str
        Leads without a signal at some time; where a limb lead is among them nothing is said, for
        a recorder draws such a lead flat by itself.
    """
    if set(lost_leads) & set(LIMB_LEADS):
        return ()
    found = find_disagreement(recording)
    if found is None:
        return ()
    known = _find_mistake(recording, set(lost_leads))
    if known is not None:
        return (known,)
    why = (
        "each lead has a scale of its own"
        if found.scale_only
        else "they were filtered, scaled or timed apart, or are named wrongly"
    )
    return (
        Finding(
            kind=FindingKind.LEADS_DISAGREE,
            asks=Verdict.KEEP_WITH_REMARK,
            sentence=(
                f"The limb leads do not add up: {join_words(found.leads)} "
                f"{'differs' if len(found.leads) == 1 else 'differ'} from what I and II give "
                f"by up to {found.largest_uv:.0f} µV; {why}."
            ),
            remedy="Do not rely on voltages or axes of this file; have its source looked at.",
            confidence=1.0 if found.share > thresholds.DISAGREEING_SHARE else 0.8,
            leads=found.leads,
            figures={"largest_difference_uv": found.largest_uv, "share_of_samples": found.share},
        ),
    )


def find_disagreement(recording: Recording) -> Disagreement | None:
    """Compare III, aVR, aVL and aVF with what I and II give; None where they agree.

    The tolerance is 1.5 steps of the resolution for each lead that enters (three roundings of half
    a step each), doubled for the doubled rounding of aVF and aVL, and never under 10 µV.
    """
    if not (recording.has_lead("I") and recording.has_lead("II")):
        return None
    present = [name for name in _DERIVED if recording.has_lead(name)]
    if not present:
        return None
    stated = np.array([recording.get_lead(name) for name in present])
    pair = np.array([recording.get_lead("I"), recording.get_lead("II")])
    expected = TWELVE_FROM_EIGHT[[LIMB_LEADS.index(name) for name in present], :2] @ pair
    apart, tolerance_uv = stated - expected, _tolerance_uv(recording)
    if (np.ptp(apart, axis=1) <= tolerance_uv).all():
        return None
    differences = np.abs(_about_median(apart))
    worst = differences.max(axis=1)
    order = [row for row in np.argsort(-worst) if worst[row] > tolerance_uv]
    if not order:
        return None
    return Disagreement(
        leads=tuple(str(present[row]) for row in order),
        largest_uv=float(worst.max()),
        share=float((differences > tolerance_uv).mean(axis=1).max()),
        scale_only=_agrees_when_scaled(stated, pair, differences),
    )


def _about_median(differences: FloatArray) -> FloatArray:
    """Differences about their median, for an offset between leads is no disagreement of shape."""
    whole = np.isfinite(differences)
    median = median_of_rows(np.where(whole, differences, 0.0))
    return np.where(whole, differences - median[:, None], 0.0)


def _tolerance_uv(recording: Recording) -> float:
    return max(3.0 * (recording.settings.resolution_uv or 0.0), thresholds.DISAGREEMENT_UV)


def _find_mistake(recording: Recording, lost_leads: set[str]) -> Finding | None:
    """The lead or names that are wrong, where one answer fits all six limb leads.

    Each lead is looked at about its mean: sums of means are means of sums, which is not so for
    medians.
    """
    if not all(recording.has_lead(name) for name in LIMB_LEADS):
        return None
    chest = tuple(
        str(name) for name in CHEST_LEADS if recording.has_lead(name) and name not in lost_leads
    )
    rows = np.array([recording.get_lead(name) for name in (*LIMB_LEADS, *chest)])
    whole = where_whole(rows)
    if whole.shape[1] < recording.rate_hz:
        return None
    about_mean = whole - whole.mean(axis=1, keepdims=True)
    limb, others = about_mean[: len(LIMB_LEADS)], about_mean[len(LIMB_LEADS) :]
    tolerance_uv = _tolerance_uv(recording)
    mistake = find_mistake(limb, others, chest, tolerance_uv)
    if mistake is not None:
        return _tell_mistake(mistake)
    wrong = find_wrong_lead(limb, tolerance_uv)
    return None if wrong is None else _tell_wrong_lead(limb, *wrong)


def _tell_mistake(mistake: Mistake) -> Finding:
    moved = [pair for pair in zip(mistake.names, mistake.holds, strict=True) if len(set(pair)) > 1]
    if moved:
        what = join_words(f"{holds} stands under {name}" for name, holds in moved)
        kind, how = FindingKind.LEADS_MISNAMED, f"The file has names of leads exchanged: {what}"
    else:
        kind, how = FindingKind.LEADS_DISAGREE, "The limb leads do not add up as they stand"
    if mistake.upside_down:
        stand = "stands" if len(mistake.upside_down) == 1 else "stand"
        how += f"; what is called {join_words(mistake.upside_down)} {stand} upside down"
    return _word(kind, f"{how}; then all limb leads add up.", mistake.names, {})


def _tell_wrong_lead(limb: FloatArray, row: int, expected: FloatArray) -> Finding:
    name = str(LIMB_LEADS[row])
    others = [other for other in range(len(LIMB_LEADS)) if other != row]
    same = [other for other in others if _is_copy(limb[row], limb[other])]
    if same:
        sentence = f"Lead {name} is a copy of lead {LIMB_LEADS[same[0]]}."
        return _word(FindingKind.LEAD_COPIED, sentence, (name,), {})
    difference_uv = float(np.abs(limb[row] - expected).max())
    sentence = (
        f"Lead {name} alone is wrong: the other limb leads add up, and it differs from what they "
        f"give by up to {difference_uv:.0f} µV."
    )
    figures = {"largest_difference_uv": difference_uv}
    return _word(FindingKind.LEADS_DISAGREE, sentence, (name,), figures)


def _is_copy(first: FloatArray, second: FloatArray) -> bool:
    return bool((np.abs(first - second) < thresholds.LEAST_STEP_UV).all())


def _word(
    kind: FindingKind, sentence: str, leads: tuple[str, ...], figures: dict[str, float]
) -> Finding:
    axes = (Hidden(what=Reading.AXIS), Hidden(what=Reading.P_AXIS))
    return Finding(
        kind=kind,
        asks=Verdict.KEEP_WITH_REMARK,
        sentence=sentence,
        remedy=f"Do not read {join_words(leads)} as named; have the source of the file looked at.",
        confidence=thresholds.IDENTITY_CONFIDENCE,
        leads=leads,
        figures=figures,
        hides=(Hidden(what=Reading.EVERYTHING, leads=leads), *axes),
    )


def _agrees_when_scaled(stated: FloatArray, pair: FloatArray, differences: FloatArray) -> bool:
    """Whether weights other than the lawful ones make the derived leads from I and II."""
    whole = where_whole(np.concatenate((pair, stated)))
    if whole.shape[1] < 10:
        return False
    about_mean = whole - whole.mean(axis=1, keepdims=True)
    known, target = about_mean[: len(pair)], about_mean[len(pair) :]
    weights = target @ known.T @ np.linalg.pinv(known @ known.T, hermitian=True)
    left = target - weights @ known
    return bool(np.sqrt(np.mean(left**2)) < 0.05 * np.sqrt(np.mean(differences**2)))
