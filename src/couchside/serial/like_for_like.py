"""In what two recordings are not like for like, before any change is believed."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from couchside.measures import MeasureName
from couchside.quality import FindingKind, Verdict
from couchside.recording import CHEST_LEADS, AcquisitionSettings, Placement, Recording
from couchside.serial.model import AlignedBeats, Change, Examined, FloatArray, Unlike, UnlikeKind
from couchside.serial.usual import USUAL_CHANGES

IRREGULAR_SHARE = 0.5
"""Share of irregular RR intervals from which a rhythm counts as irregular. A choice."""
LEAST_GAIN = 1.6
"""All leads so many times as large, in one and the same shape, speak for another gain."""
SAME_SHAPE = 0.97
"""Correlation over all leads together from which two QRS have one shape."""
OTHER_SHAPE, LIMB_SHAPE = 0.30, 0.08
"""Share of the power of QRS in which a chest lead differs, and in which limb leads differ at most,
where chest electrodes seem to sit elsewhere. Choices, checked in docs/validation.md."""
LEAST_RATE_HZ = 250.0


def list_unlike(
    new: Examined, old: Examined, changes: tuple[Change, ...], beats: AlignedBeats | None
) -> tuple[Unlike, ...]:
    """Everything known that makes the two not like for like; empty where nothing is."""
    return (
        *_placement(new.recording, old.recording),
        *_leads(new.recording, old.recording),
        *_filters(new.recording.settings, old.recording.settings),
        *_sampling(new.recording, old.recording),
        *(_gain(beats) if beats else ()),
        *_rhythm(new, old),
        *_conduction(changes),
        *_rate(changes),
        *_findings(new, "this recording"),
        *_findings(old, "the earlier recording"),
        *(_electrodes(beats) if beats else ()),
    )


def _placement(new: Recording, old: Recording) -> Iterator[Unlike]:
    """[Jowett2005]: torso and limb recordings are not to be compared as like for like."""
    now, then = new.placement, old.placement
    if now is then:
        return
    if Placement.NOT_STATED in (now, then) and not (now.needs_a_banner or then.needs_a_banner):
        return
    yield Unlike(
        kind=UnlikeKind.PLACEMENT,
        sentence=f"The electrodes were placed otherwise: {now} now, {then} then.",
    )


def _leads(new: Recording, old: Recording) -> Iterator[Unlike]:
    if set(new.leads) != set(old.leads):
        lacking = [
            lead for lead in (*new.leads, *old.leads) if (lead in new.leads) != (lead in old.leads)
        ]
        yield Unlike(
            kind=UnlikeKind.LEADS,
            sentence=f"Only one of the two has {', '.join(dict.fromkeys(lacking))}.",
        )


def _filters(new: AcquisitionSettings, old: AcquisitionSettings) -> Iterator[Unlike]:
    pairs = (
        ("high-pass", new.high_pass_hz, old.high_pass_hz),
        ("low-pass", new.low_pass_hz, old.low_pass_hz),
        ("mains filter", new.notch_hz, old.notch_hz),
    )
    told = [
        f"{words} {now:g} Hz now, {then:g} Hz then"
        for words, now, then in pairs
        if now is not None and then is not None and now != then
    ]
    if told:
        yield Unlike(kind=UnlikeKind.FILTER, sentence=f"The filters differ: {'; '.join(told)}.")


def _sampling(new: Recording, old: Recording) -> Iterator[Unlike]:
    if new.rate_hz != old.rate_hz and min(new.rate_hz, old.rate_hz) < LEAST_RATE_HZ:
        yield Unlike(
            kind=UnlikeKind.SAMPLING,
            sentence=(
                f"The sampling differs: {new.rate_hz:g} Hz now, {old.rate_hz:g} Hz then; small "
                "waves are lower in the coarser one."
            ),
        )


def _gain(beats: AlignedBeats) -> Iterator[Unlike]:
    new, old = _qrs(beats)
    size = float(np.sqrt((new**2).sum() * (old**2).sum()))
    if size == 0.0 or float((new * old).sum()) / size < SAME_SHAPE:
        return
    times = float(np.sqrt((new**2).sum() / (old**2).sum()))
    if max(times, 1.0 / times) > LEAST_GAIN:
        yield Unlike(
            kind=UnlikeKind.GAIN,
            sentence=(
                f"All leads are {times:.2g} times as large as then, in the same shape: make sure "
                "that both gains are right."
            ),
        )


def _qrs(beats: AlignedBeats) -> tuple[FloatArray, FloatArray]:
    inside = slice(max(int(beats.qrs_onset), 0), int(beats.qrs_offset) + 1)
    new, old = np.nan_to_num(beats.new_uv[:, inside]), np.nan_to_num(beats.old_uv[:, inside])
    return new, old


def _rhythm(new: Examined, old: Examined) -> Iterator[Unlike]:
    now, then = _is_irregular(new), _is_irregular(old)
    if now != then:
        words = ("irregular", "regular") if now else ("regular", "irregular")
        yield Unlike(
            kind=UnlikeKind.RHYTHM,
            sentence=f"The rhythm is {words[0]} now and was {words[1]} then.",
        )
    had_p, has_p = _has_p(old), _has_p(new)
    if had_p != has_p:
        when = "now, not then" if has_p else "then, not now"
        yield Unlike(kind=UnlikeKind.RHYTHM, sentence=f"A P wave was found {when}.")


def _is_irregular(examined: Examined) -> bool:
    rhythm = examined.assessment.measures.rhythm
    share = None if rhythm is None else rhythm.irregular_share
    return share is not None and share > IRREGULAR_SHARE


def _has_p(examined: Examined) -> bool:
    beat = examined.assessment.waves.representative
    return beat is not None and bool(np.isfinite(beat.overall.p_onset))


def _conduction(changes: tuple[Change, ...]) -> Iterator[Unlike]:
    change_ms = _find_change(changes, MeasureName.QRS_DURATION)
    if abs(change_ms) > USUAL_CHANGES[MeasureName.QRS_DURATION].most:
        width = "wider" if change_ms > 0 else "narrower"
        yield Unlike(
            kind=UnlikeKind.CONDUCTION,
            sentence=f"QRS is {abs(change_ms):.0f} ms {width}: ST and T differ by that alone.",
        )


def _rate(changes: tuple[Change, ...]) -> Iterator[Unlike]:
    change = _find_change(changes, MeasureName.HEART_RATE)
    if abs(change) > USUAL_CHANGES[MeasureName.HEART_RATE].most:
        way = "faster" if change > 0 else "slower"
        yield Unlike(
            kind=UnlikeKind.RATE,
            sentence=f"The rate is {abs(change):.0f}/min {way}: ST and T follow the rate.",
        )


def _find_change(changes: tuple[Change, ...], name: MeasureName) -> float:
    return next((each.change for each in changes if each.name is name), None) or 0.0


def _findings(examined: Examined, words: str) -> Iterator[Unlike]:
    assessment = examined.assessment
    for finding in assessment.findings:
        if finding.kind is FindingKind.CABLES_EXCHANGED:
            yield Unlike(kind=UnlikeKind.CABLES, sentence=f"In {words}: {finding.sentence}")
            return
    if assessment.verdict is Verdict.RECORD_AGAIN:
        yield Unlike(kind=UnlikeKind.QUALITY, sentence=f"Of {words} the check says: record again.")


def _electrodes(beats: AlignedBeats) -> Iterator[Unlike]:
    """Chest leads of another shape while the limb leads kept theirs."""
    new, old = _qrs(beats)
    power = (new**2).sum(axis=1) + (old**2).sum(axis=1)
    shares = ((new - old) ** 2).sum(axis=1) / np.maximum(power, 1.0)
    is_chest = np.array([lead in CHEST_LEADS for lead in beats.leads])
    if is_chest.all() or float(power[~is_chest].sum()) == 0.0:
        return
    limbs = float(((new - old)[~is_chest] ** 2).sum() / power[~is_chest].sum())
    moved = [
        lead
        for lead, share in zip(beats.leads, shares, strict=True)
        if lead in CHEST_LEADS and share > OTHER_SHAPE
    ]
    if moved and limbs < LIMB_SHAPE:
        yield Unlike(
            kind=UnlikeKind.ELECTRODES,
            sentence=(
                f"{', '.join(moved)} {'has' if len(moved) == 1 else 'have'} another shape than "
                "then and the limb leads have not: these electrodes may sit elsewhere."
            ),
        )
