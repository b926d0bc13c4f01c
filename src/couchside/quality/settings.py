"""Was it recorded in a way that a reader can rely on: rate, resolution, filters, length, leads."""

from __future__ import annotations

from couchside.quality import thresholds
from couchside.quality.model import Finding, FindingKind, Hidden, Reading, Verdict
from couchside.quality.wording import join_words
from couchside.recording import (
    CHEST_LEADS,
    CHEST_LEADS_AS_PLACED,
    LIMB_LEADS,
    STANDARD_LEADS,
    Lead,
    Recording,
)

Findings = tuple[Finding, ...]


def check_settings(recording: Recording) -> Findings:
    """Everything that the settings alone say, whatever the samples hold."""
    return (
        *_check_rate(recording),
        *_check_length(recording),
        *_check_leads(recording),
        *_check_resolution(recording),
        *_check_high_pass(recording),
        *_check_low_pass(recording),
        *_check_filters_stated(recording),
    )


def _check_rate(recording: Recording) -> Findings:
    rate_hz = recording.rate_hz
    if rate_hz >= thresholds.RATE_HZ:
        return ()
    too_low = rate_hz < thresholds.LOWEST_RATE_HZ
    return (
        Finding(
            kind=FindingKind.SAMPLING_RATE,
            asks=Verdict.RECORD_AGAIN if too_low else Verdict.KEEP_WITH_REMARK,
            sentence=(
                f"Recorded with {rate_hz:g} samples per second"
                + (
                    ", too few to read QRS and T by."
                    if too_low
                    else f"; {thresholds.RATE_HZ:g} or more are asked for, so small sharp waves "
                    "may be lost."
                )
            ),
            remedy=f"Set the recorder to {thresholds.RATE_HZ:g} samples per second or more.",
            confidence=1.0,
            figures={"rate_hz": rate_hz},
        ),
    )


def _check_length(recording: Recording) -> Findings:
    length_s = recording.duration_s
    if length_s >= thresholds.LENGTH_S - thresholds.LENGTH_SLACK_S:
        return ()
    too_short = length_s < thresholds.SHORTEST_S
    return (
        Finding(
            kind=FindingKind.TOO_SHORT,
            asks=Verdict.RECORD_AGAIN if too_short else Verdict.KEEP_WITH_REMARK,
            sentence=(
                f"Only {length_s:.3g} s long; a resting recording takes {thresholds.LENGTH_S:g} s"
                + (" and too few beats are in it." if too_short else ".")
            ),
            remedy=f"Record again for {thresholds.LENGTH_S:g} s.",
            confidence=1.0,
            figures={"duration_s": length_s},
        ),
    )


def _check_leads(recording: Recording) -> Findings:
    expected = (*LIMB_LEADS, *CHEST_LEADS_AS_PLACED.get(recording.placement, CHEST_LEADS))
    missing = tuple(str(name) for name in expected if not recording.has_lead(name))
    if not missing:
        return ()
    if set(missing) <= _LEADS_THAT_FOLLOW:
        return (_leads_derivable(missing),)
    count = len(recording.leads)
    return (
        Finding(
            kind=FindingKind.LEADS_MISSING,
            asks=Verdict.RECORD_AGAIN,
            sentence=(
                f"This is not a 12-lead recording: it holds {count} "
                f"{'lead' if count == 1 else 'leads'}{_name_missing(missing)}."
            ),
            remedy="Connect all ten electrodes, have every lead exported, then record again.",
            confidence=1.0,
            leads=missing,
            figures={
                "lead_count": float(count),
                "missing_of_its_own": float(len(set(missing) - _LEADS_THAT_FOLLOW)),
            },
        ),
    )


def _name_missing(missing: tuple[str, ...]) -> str:
    if len(missing) > _MOST_MISSING_NAMED:
        return ""
    return f"; {join_words(missing)} {'is' if len(missing) == 1 else 'are'} missing"


def _leads_derivable(missing: tuple[str, ...]) -> Finding:
    return Finding(
        kind=FindingKind.LEADS_MISSING,
        asks=Verdict.KEEP,
        sentence=f"{join_words(missing)} were not stored; they follow from I and II.",
        remedy="",
        confidence=1.0,
        leads=missing,
        figures={
            "lead_count": float(len(STANDARD_LEADS) - len(missing)),
            "missing_of_its_own": 0.0,
        },
    )


def _check_resolution(recording: Recording) -> Findings:
    step_uv = recording.settings.resolution_uv
    if step_uv is None or step_uv <= thresholds.RESOLUTION_UV * (1 + 1e-6):
        return ()
    return (
        Finding(
            kind=FindingKind.RESOLUTION,
            asks=Verdict.KEEP_WITH_REMARK,
            sentence=(
                f"Stored in steps of {step_uv:.3g} µV; {thresholds.RESOLUTION_UV:g} µV or finer "
                "is asked for."
            ),
            remedy="Have the recorder's export set to a finer resolution.",
            confidence=1.0,
            figures={"resolution_uv": step_uv},
        ),
    )


def _check_high_pass(recording: Recording) -> Findings:
    edge_hz = recording.settings.high_pass_hz
    if edge_hz is None or edge_hz <= thresholds.HIGH_PASS_HZ * (1 + 1e-6):
        return ()
    return (
        Finding(
            kind=FindingKind.FILTER,
            asks=Verdict.KEEP_WITH_REMARK,
            sentence=f"The {edge_hz:g} Hz high-pass filter was on; it can shift the ST segment.",
            remedy=f"Set the high-pass filter to {thresholds.HIGH_PASS_HZ:g} Hz.",
            confidence=1.0,
            figures={"high_pass_hz": edge_hz},
            hides=(Hidden(what=Reading.ST_LEVEL, leads=recording.leads),),
        ),
    )


def _check_low_pass(recording: Recording) -> Findings:
    edge_hz = recording.settings.low_pass_hz
    if edge_hz is None or edge_hz >= thresholds.LOW_PASS_HZ * (1 - 1e-6):
        return ()
    strong = edge_hz <= thresholds.STRONG_LOW_PASS_HZ
    return (
        Finding(
            kind=FindingKind.FILTER,
            asks=Verdict.KEEP_WITH_REMARK if strong else Verdict.KEEP,
            sentence=(
                f"The {edge_hz:g} Hz low-pass filter was on; it "
                + ("lowers R waves and hides notches." if strong else "may lower sharp R waves.")
            ),
            remedy=f"Set the low-pass filter to {thresholds.LOW_PASS_HZ:g} Hz.",
            confidence=1.0,
            figures={"low_pass_hz": edge_hz},
            hides=(Hidden(what=Reading.VOLTAGES),) if strong else (),
        ),
    )


def _check_filters_stated(recording: Recording) -> Findings:
    settings = recording.settings
    silent = tuple(
        name
        for name, edge_hz in (
            ("high-pass", settings.high_pass_hz),
            ("low-pass", settings.low_pass_hz),
        )
        if edge_hz is None
    )
    if not silent:
        return ()
    return (
        Finding(
            kind=FindingKind.FILTER_NOT_STATED,
            asks=Verdict.KEEP,
            sentence=f"The file does not state its {join_words(silent)} filter.",
            remedy="Have the recorder's export set to state its filters.",
            confidence=1.0,
        ),
    )


_MOST_MISSING_NAMED = 6
_LEADS_THAT_FOLLOW = frozenset({str(Lead.III), str(Lead.AVR), str(Lead.AVL), str(Lead.AVF)})
"""Given I and II [Einthoven1912, Goldberger1942]."""
