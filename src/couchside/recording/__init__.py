"""What an ECG is: leads, electrodes, placements, patient, settings, samples."""

from couchside.recording.acquisition import AcquisitionSettings, Device, OrderReference, Origin
from couchside.recording.algebra import (
    CHEST_ELECTRODE_OF_LEAD,
    TWELVE_FROM_EIGHT,
    get_lead_matrix,
    leads_from_potentials,
    twelve_from_eight,
)
from couchside.recording.circumstances import (
    Circumstances,
    Position,
    add_circumstances,
    describe_circumstances,
)
from couchside.recording.electrodes import (
    CABLE_MARKS,
    CHEST_ELECTRODES,
    ELECTRODES,
    LIMB_ELECTRODES,
    SITES,
    CableMark,
    ColourCode,
    Electrode,
    describe_electrode,
)
from couchside.recording.leads import (
    CABRERA_LIMB_LEADS,
    CHEST_LEADS,
    INDEPENDENT_LEADS,
    LIMB_LEAD_ANGLES_DEG,
    LIMB_LEADS,
    STANDARD_LEADS,
    Lead,
    canonical_lead_name,
)
from couchside.recording.patient import Patient, Sex
from couchside.recording.placements import CHEST_LEADS_AS_PLACED, Placement
from couchside.recording.preparation import PREPARATION
from couchside.recording.recording import MAX_LEADS, Recording
from couchside.recording.sites import (
    PLACEMENT_NOTES,
    SITE_FACTS,
    PlacementNote,
    Site,
    SiteFacts,
    Trust,
    list_sites,
)

__all__ = [
    "CABLE_MARKS",
    "CABRERA_LIMB_LEADS",
    "CHEST_ELECTRODES",
    "CHEST_ELECTRODE_OF_LEAD",
    "CHEST_LEADS",
    "CHEST_LEADS_AS_PLACED",
    "ELECTRODES",
    "INDEPENDENT_LEADS",
    "LIMB_ELECTRODES",
    "LIMB_LEADS",
    "LIMB_LEAD_ANGLES_DEG",
    "MAX_LEADS",
    "PLACEMENT_NOTES",
    "PREPARATION",
    "SITES",
    "SITE_FACTS",
    "STANDARD_LEADS",
    "TWELVE_FROM_EIGHT",
    "AcquisitionSettings",
    "CableMark",
    "Circumstances",
    "ColourCode",
    "Device",
    "Electrode",
    "Lead",
    "OrderReference",
    "Origin",
    "Patient",
    "Placement",
    "PlacementNote",
    "Position",
    "Recording",
    "Sex",
    "Site",
    "SiteFacts",
    "Trust",
    "add_circumstances",
    "canonical_lead_name",
    "describe_circumstances",
    "describe_electrode",
    "get_lead_matrix",
    "leads_from_potentials",
    "list_sites",
    "twelve_from_eight",
]
