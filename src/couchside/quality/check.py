"""The check: one recording in, one assessment out."""

from __future__ import annotations

from couchside.measures import measure
from couchside.quality.attribution import as_electrode_noise, attribute_every_band
from couchside.quality.cables import check_cables
from couchside.quality.heartbeat import check_heartbeat
from couchside.quality.identities import check_identities
from couchside.quality.model import Assessment, Finding, FindingKind, Verdict
from couchside.quality.noise import check_noise
from couchside.quality.patient import check_patient
from couchside.quality.settings import check_settings
from couchside.quality.signals import prepare_signals
from couchside.quality.verdict import decide, put_in_order
from couchside.recording import Recording
from couchside.version import __version__
from couchside.waves import delineate


def check(recording: Recording) -> Assessment:
    """Say whether a recording can be kept, and if not, which electrode, why, and what to do.

    Parameters
    ----------
    recording : Recording
        Any recording of 1 to 18 leads, of any length.

    Returns
    -------
    Assessment
        The verdict, the findings that led to it (weightiest first), the measures, the waves and
        the noise of each electrode. What cannot be judged for want of leads or length is left
        out; the check itself never fails on a valid recording.
    """
    waves = delineate(recording)
    signals = prepare_signals(recording, waves)
    noise = check_noise(signals, waves)
    cables = check_cables(waves, _unreadable_leads(noise))
    findings = put_in_order(
        (
            *check_heartbeat(recording, waves),
            *_without_explained(noise, cables),
            *cables,
            *check_identities(recording, _lost_leads(noise)),
            *check_settings(recording),
            *check_patient(recording),
        )
    )
    return Assessment(
        verdict=decide(findings),
        findings=findings,
        measures=measure(recording, waves),
        waves=waves,
        electrode_noise=as_electrode_noise(attribute_every_band(signals)),
        code_version=__version__,
    )


_LOST = frozenset(
    {
        FindingKind.LOST_CONTACT,
        FindingKind.FLAT,
        FindingKind.SATURATED,
        FindingKind.MISSING_SAMPLES,
    }
)


def _unreadable_leads(findings: tuple[Finding, ...]) -> set[str]:
    """Leads that a finding wants recorded again, save those that are flat for a cable's sake."""
    return {
        name
        for found in findings
        for name in found.leads
        if found.asks == Verdict.RECORD_AGAIN and found.kind != FindingKind.FLAT
    }


def _lost_leads(findings: tuple[Finding, ...]) -> set[str]:
    """Leads that carry no signal at some time."""
    return {name for found in findings for name in found.leads if found.kind in _LOST}


def _without_explained(
    findings: tuple[Finding, ...], cables: tuple[Finding, ...]
) -> tuple[Finding, ...]:
    """A lead that is flat because of exchanged cables is no second finding."""
    explained = {name for found in cables for name in found.leads}
    return tuple(
        found
        for found in findings
        if not (found.kind == FindingKind.FLAT and explained.issuperset(found.leads))
    )
