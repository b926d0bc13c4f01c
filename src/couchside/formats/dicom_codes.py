"""Codes that DICOM ECG objects use, in one place."""

from __future__ import annotations

from couchside.recording import Lead, Placement

TWELVE_LEAD_ECG = "1.2.840.10008.5.1.4.1.1.9.1.1"
GENERAL_ECG = "1.2.840.10008.5.1.4.1.1.9.1.2"
AMBULATORY_ECG = "1.2.840.10008.5.1.4.1.1.9.1.3"
GENERAL_32_BIT_ECG = "1.2.840.10008.5.1.4.1.1.9.1.4"

ECG_CLASSES = {
    TWELVE_LEAD_ECG: "12-lead ECG",
    GENERAL_ECG: "General ECG",
    AMBULATORY_ECG: "Ambulatory ECG",
    GENERAL_32_BIT_ECG: "General 32-bit ECG",
}
"""SOP classes that are read [DICOM-PS3.6]."""

MDC_LEAD_PREFIX = "2:"
SCPECG_LEAD_PREFIX = "5.6.3-9-"

LEAD_NUMBERS: dict[str, int] = {
    Lead.I: 1,
    Lead.II: 2,
    Lead.V1: 3,
    Lead.V2: 4,
    Lead.V3: 5,
    Lead.V4: 6,
    Lead.V5: 7,
    Lead.V6: 8,
    Lead.V7: 9,
    Lead.V2R: 10,
    Lead.V3R: 11,
    Lead.V4R: 12,
    Lead.V5R: 13,
    Lead.V6R: 14,
    Lead.V7R: 15,
    Lead.X: 16,
    Lead.Y: 17,
    Lead.Z: 18,
    Lead.III: 61,
    Lead.AVR: 62,
    Lead.AVL: 63,
    Lead.AVF: 64,
    Lead.V8: 66,
    Lead.V9: 67,
}
"""Number n of a lead in ``2:n`` (MDC) and ``5.6.3-9-n`` (SCPECG) [DICOM-PS3.16 CID 3001]."""

DERIVED_LEAD_NUMBERS: dict[int, str] = {
    31: Lead.I,
    32: Lead.II,
    33: Lead.V1,
    34: Lead.V2,
    35: Lead.V3,
    36: Lead.V4,
    37: Lead.V5,
    38: Lead.V6,
    111: Lead.III,
    112: Lead.AVR,
    113: Lead.AVL,
    114: Lead.AVF,
}
"""Leads computed from other leads, by the recorder [DICOM-PS3.16 CID 3001]."""

UNSPECIFIED_LEAD_NUMBER = 0
"""A lead that has no code; its label says which [DICOM-PS3.16 CID 3001]."""

INVERTED_AVR_NUMBER = 65
"""−aVR, as it stands in the Cabrera order [DICOM-PS3.16 CID 3001]."""

ELECTRODE_PLACEMENT = ("DCM", "122141", "Electrode Placement")
"""Scheme, code and meaning of the concept that a placement answers [DICOM-PS3.16]."""

PATIENT_STATE = ("DCM", "109054", "Patient State")
SUPINE = ("SCT", "40199007", "Supine body position")
"""Of the positions, CID 3262 has this one alone; each other stands among the annotations
[DICOM-PS3.16 CID 3262]."""

OWN_SCHEME = "99COUCHSIDE"
"""For the one placement without a code in CID 3263; schemes of one's own begin with 99."""

PLACEMENT_CODES: dict[Placement, tuple[str, str]] = {
    Placement.STANDARD: (
        "10:11265",
        "Standard 12-lead positions, electrodes placed individually",
    ),
    Placement.TORSO: ("10:11266", "Mason-Likar lead positions, electrodes placed individually"),
    Placement.HIGH: ("10:11272", "Standard 12-lead positions one intercostal space higher"),
    Placement.RIGHT_SIDED: (
        "10:11291",
        "Standard 12-lead extended to the right by V5R, V4R, V3R",
    ),
    Placement.POSTERIOR: ("10:11292", "Standard 12-lead extended to the left by V7, V8, V9"),
}
"""Code and meaning of each placement that has one, scheme MDC [DICOM-PS3.16 CID 3263]."""

PLACEMENT_OF_CODE: dict[tuple[str, str], Placement] = {
    ("MDC", code): placement for placement, (code, _) in PLACEMENT_CODES.items()
} | {
    ("MDC", "10:11267"): Placement.TORSO,
    ("MDC", "10:11268"): Placement.TORSO,
    (OWN_SCHEME, Placement.PAEDIATRIC.name): Placement.PAEDIATRIC,
    ("SCPECG", "5.4.5-33-1-1"): Placement.STANDARD,
    ("SCPECG", "5.4.5-33-1-2"): Placement.TORSO,
    ("SCPECG", "5.4.5-33-1-3"): Placement.TORSO,
    ("SCPECG", "5.4.5-33-1-4"): Placement.TORSO,
}
"""By coding scheme and code; the SCPECG codes 2 to 4 are from memory of EN 1064, tag 33."""

SAMPLE_TYPES: dict[tuple[int, str], str] = {
    (8, "SB"): "i1",
    (8, "UB"): "u1",
    (16, "SS"): "i2",
    (16, "US"): "u2",
    (32, "SL"): "i4",
    (32, "UL"): "u4",
}
"""NumPy type by bits allocated and sample interpretation [DICOM-PS3.3 C.10.9]."""
