"""The torso between the heart and the electrodes."""

from couchside.simulate.torso.lead_field import (
    DOWER,
    SOURCE_COUNT,
    electrode_vectors,
    standard_lead_vectors,
)
from couchside.simulate.torso.sites import ElectrodeShift, hand_placed, sites_for
from couchside.simulate.torso.surface import Site, moved, point_on_torso

__all__ = [
    "DOWER",
    "SOURCE_COUNT",
    "ElectrodeShift",
    "Site",
    "electrode_vectors",
    "hand_placed",
    "moved",
    "point_on_torso",
    "sites_for",
    "standard_lead_vectors",
]
