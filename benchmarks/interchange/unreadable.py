"""Leads that say nothing about cables, as the check finds them."""

from __future__ import annotations

from couchside.quality.folding import disagreeing_leads, lost_leads, unreadable_leads
from couchside.quality.identities import check_identities
from couchside.quality.noise import check_noise
from couchside.quality.spoils import weigh
from couchside.recording import Recording
from couchside.waves import Waves


def find_unreadable(recording: Recording, waves: Waves) -> frozenset[str]:
    """Those that cannot be read, and the limb leads where they do not add up."""
    signals, spoils = weigh(recording, waves)
    noise = check_noise(signals, waves, spoils)
    identities = check_identities(recording, lost_leads(noise))
    return unreadable_leads(noise) | disagreeing_leads(identities)
