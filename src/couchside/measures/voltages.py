"""Voltages that readers quote: measured values beside published limits, never a diagnosis."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from couchside.measures.lead_model import LeadMeasures, WaveName
from couchside.measures.limits import find_age_years
from couchside.measures.limits_table import ADULT_YEARS
from couchside.measures.model import Limits, Measured, MeasureName, Trust
from couchside.recording import CHEST_LEADS, LIMB_LEADS, Lead, Recording, Sex

SOKOLOW_LYON_MV = 3.5
CORNELL_MV = {Sex.MALE: 2.8, Sex.FEMALE: 2.0}
CORNELL_PRODUCT_MV_MS = 244.0
WOMEN_ADD_MV = 0.8
"""Limits as ≥ in a table that was read; the original Cornell paper prints >. [LVH-table]"""
LEAST_LIMB_MV = 0.5
LEAST_CHEST_MV = 1.0
"""Below in every limb lead or in every chest lead; the chest value is from memory.
[LowVoltage]"""

_PUBLISHED = "published voltage limit, met at ≥"
_NO_BEATS = "no beats were found"


def measure_voltages(
    leads: Sequence[LeadMeasures], qrs: Measured, recording: Recording
) -> tuple[Measured, ...]:
    """Sokolow–Lyon, Cornell voltage and product, and the largest QRS of limb and chest leads.

    Parameters
    ----------
    leads : sequence of LeadMeasures
        From `measure_leads`.
    qrs : Measured
        QRS duration in ms, for the product.
    recording : Recording
        Gives age, sex and placement, on which the limits depend.

    Returns
    -------
    tuple of Measured
        In mV, the product in mV·ms (1 mV·ms is 10 mm·ms). A wave that is absent adds nothing to a
        sum. Limits are those of adults with electrodes in their standard places.

    Notes
    -----
    Sokolow–Lyon: S in V1 and the taller R of V5 and V6. Cornell: R in aVL and S in V3; the product
    multiplies it by the QRS duration, after adding 0.8 mV for women. Low voltage is told by the
    largest QRS, peak to peak, of all limb leads and of all chest leads. Sources: [LVH-table],
    [LowVoltage].
    """
    by_name = {each.lead: each for each in leads}
    cornell = _cornell(by_name, recording)
    return (
        _sokolow_lyon(by_name, recording),
        cornell,
        _cornell_product(cornell, qrs, recording),
        _largest_qrs(MeasureName.LIMB_QRS_VOLTAGE, LIMB_LEADS, by_name, recording),
        _largest_qrs(MeasureName.CHEST_QRS_VOLTAGE, CHEST_LEADS, by_name, recording),
    )


def _sokolow_lyon(by_name: Mapping[str, LeadMeasures], recording: Recording) -> Measured:
    reason = _why_missing(by_name, (Lead.V1, Lead.V5, Lead.V6))
    value = None
    if not reason:
        value = _depth_mv(by_name[Lead.V1]) + max(
            _height_mv(by_name[Lead.V5]), _height_mv(by_name[Lead.V6])
        )
    limits = Limits(
        low=None,
        high=SOKOLOW_LYON_MV,
        population="adults",
        source=f"{_PUBLISHED} {SOKOLOW_LYON_MV:g} mV",
        high_is_outside=True,
    )
    return _measured(
        MeasureName.SOKOLOW_LYON,
        value,
        "S in V1 + the taller R of V5 and V6",
        reason,
        limits if _is_adult_as_usual(recording) else None,
    )


def _cornell(by_name: Mapping[str, LeadMeasures], recording: Recording) -> Measured:
    reason = _why_missing(by_name, (Lead.AVL, Lead.V3))
    value = None
    if not reason:
        value = _height_mv(by_name[Lead.AVL]) + _depth_mv(by_name[Lead.V3])
    return _measured(
        MeasureName.CORNELL_VOLTAGE, value, "R in aVL + S in V3", reason, _cornell_limits(recording)
    )


def _cornell_limits(recording: Recording) -> Limits | None:
    sex = recording.patient.sex
    if sex not in CORNELL_MV or not _is_adult_as_usual(recording):
        return None
    return Limits(
        low=None,
        high=CORNELL_MV[sex],
        population="men" if sex is Sex.MALE else "women",
        source=f"{_PUBLISHED} {CORNELL_MV[sex]:g} mV",
        high_is_outside=True,
    )


def _cornell_product(cornell: Measured, qrs: Measured, recording: Recording) -> Measured:
    sex = recording.patient.sex
    method = "(R in aVL + S in V3) × QRS duration"
    reason = cornell.reason or qrs.reason
    if not reason and sex not in CORNELL_MV:
        reason = "neither male nor female is stated, and 0.8 mV are added for women"
    value = None
    if cornell.value is not None and qrs.value is not None and not reason:
        added_mv = WOMEN_ADD_MV if sex is Sex.FEMALE else 0.0
        value = (cornell.value + added_mv) * qrs.value
    limits = Limits(
        low=None,
        high=CORNELL_PRODUCT_MV_MS,
        population="adults",
        source=f"{_PUBLISHED} {CORNELL_PRODUCT_MV_MS:g} mV·ms",
        high_is_outside=True,
    )
    return _measured(
        MeasureName.CORNELL_PRODUCT,
        value,
        f"{method}, with 0.8 mV added for women" if sex is Sex.FEMALE else method,
        reason,
        limits if _is_adult_as_usual(recording) else None,
        unit="mV·ms",
    )


def _largest_qrs(
    name: MeasureName,
    leads: tuple[Lead, ...],
    by_name: Mapping[str, LeadMeasures],
    recording: Recording,
) -> Measured:
    is_limb = name is MeasureName.LIMB_QRS_VOLTAGE
    words, least_mv = ("limb", LEAST_LIMB_MV) if is_limb else ("chest", LEAST_CHEST_MV)
    reason = _why_missing(by_name, leads)
    heights = [each.peak_to_peak_uv for each in by_name.values() if each.lead in leads]
    value = None if reason else max(height or 0.0 for height in heights) / 1000.0
    limits = Limits(
        low=least_mv,
        high=None,
        population="adults",
        source=f"published voltage limit, low below {least_mv:g} mV in every {words} lead",
        trust=Trust.SEEN if is_limb else Trust.FROM_MEMORY,
    )
    return _measured(
        name,
        value,
        f"largest QRS of the six {words} leads, peak to peak",
        reason,
        limits if _is_adult_as_usual(recording) else None,
    )


def _why_missing(by_name: Mapping[str, LeadMeasures], leads: Sequence[Lead]) -> str:
    """Why a sum over these leads cannot be had; empty where it can."""
    if not by_name:
        return _NO_BEATS
    missing = [str(lead) for lead in leads if lead not in by_name]
    if len(missing) > 1:
        return f"leads {', '.join(missing)} were not recorded"
    if missing:
        return f"lead {missing[0]} was not recorded"
    silent = [str(lead) for lead in leads if by_name[lead].peak_to_peak_uv is None]
    return f"no QRS could be measured in {', '.join(silent)}" if silent else ""


def _height_mv(lead: LeadMeasures) -> float:
    """The taller of R and R′; an absent wave adds nothing."""
    return _largest_mv(lead, (WaveName.R, WaveName.R_PRIME))


def _depth_mv(lead: LeadMeasures) -> float:
    """The deeper of S and S′, or a QS; an absent wave adds nothing."""
    if lead.is_qs:
        return _largest_mv(lead, (WaveName.Q,))
    return _largest_mv(lead, (WaveName.S, WaveName.S_PRIME))


def _largest_mv(lead: LeadMeasures, names: tuple[WaveName, ...]) -> float:
    return max(abs(lead.get(name).amplitude_uv or 0.0) for name in names) / 1000.0


def _is_adult_as_usual(recording: Recording) -> bool:
    """Whether limits of adults with standard electrode places apply; an age not stated counts."""
    age_years = find_age_years(recording)
    is_adult = age_years is None or age_years >= ADULT_YEARS
    return is_adult and not recording.placement.needs_a_banner


def _measured(
    name: MeasureName,
    value: float | None,
    method: str,
    reason: str,
    limits: Limits | None,
    *,
    unit: str = "mV",
) -> Measured:
    kept = None if value is None else limits
    return Measured(name=name, value=value, unit=unit, method=method, reason=reason, limits=kept)
