"""The check: one recording in, one assessment out."""

from __future__ import annotations

from couchside.measures import measure
from couchside.quality.acceptability import find_unreadable_probability
from couchside.quality.clipping import check_clipping
from couchside.quality.copies import check_copies
from couchside.quality.electrode_noise import measure_electrode_noise
from couchside.quality.folding import (
    disagreeing_leads,
    lost_leads,
    named_leads,
    unreadable_leads,
    without_consequences,
)
from couchside.quality.heartbeat import check_heartbeat
from couchside.quality.identities import check_identities
from couchside.quality.interchange.features import find_features
from couchside.quality.interchange.finding import check_cables, check_lost_cables
from couchside.quality.legibility import check_legibility
from couchside.quality.misplacement import check_misplacement
from couchside.quality.model import Assessment
from couchside.quality.noise import check_noise
from couchside.quality.over_filtering import check_over_filtering
from couchside.quality.patient import check_patient
from couchside.quality.policy import Policy, apply_policy
from couchside.quality.policy_reading import get_shipped_policy
from couchside.quality.settings import check_settings
from couchside.quality.spoils import weigh
from couchside.quality.undershoot import check_undershoot
from couchside.quality.verdict import decide
from couchside.quality.withheld import withhold_untrusted
from couchside.recording import Recording
from couchside.version import __version__
from couchside.waves import delineate


def check(recording: Recording, policy: Policy | None = None) -> Assessment:
    """Say whether a recording can be kept, and if not, which electrode, why, and what to do.

    Parameters
    ----------
    recording : Recording
        Any recording of 1 to 18 leads, of any length.
    policy : Policy or None
        What each finding asks for; None takes the shipped policy.

    Returns
    -------
    Assessment
        The verdict, the findings that led to it (weightiest first), the measures, the waves and
        the noise of each electrode. What cannot be judged for want of leads or length is left
        out; the check itself never fails on a valid recording.
    """
    waves = delineate(recording)
    signals, spoils = weigh(recording, waves)
    noise = check_noise(signals, waves, spoils)
    unreadable = find_unreadable_probability(signals, spoils, waves)
    lost = lost_leads(noise)
    identities = check_identities(recording, lost)
    copies = check_copies(recording, lost, named_leads(identities))
    unread = unreadable_leads(noise) | disagreeing_leads(identities)
    spoiled = unread | named_leads(copies)
    features = find_features(waves.representative, spoiled)
    cables = check_cables(features)
    if not cables and spoiled != unread:
        cables = check_lost_cables(find_features(waves.representative, unread))
    findings = (
        *check_heartbeat(recording, waves, lost),
        *noise,
        *check_legibility(unreadable, noise),
        *check_clipping(signals, lost),
        *cables,
        *check_misplacement(recording, waves, features),
        *identities,
        *copies,
        *check_settings(recording),
        *check_over_filtering(signals, recording.settings),
        *check_undershoot(signals, waves, recording.settings),
        *check_patient(recording),
    )
    told, answer = apply_policy(
        policy or get_shipped_policy(),
        without_consequences(findings, recording.leads),
        recording,
    )
    return Assessment(
        verdict=decide(told),
        findings=told,
        policy=answer,
        unreadable_probability=unreadable,
        measures=withhold_untrusted(measure(recording, waves), told),
        waves=waves,
        electrode_noise=measure_electrode_noise(signals),
        left_out_leads=spoiled,
        code_version=__version__,
    )
