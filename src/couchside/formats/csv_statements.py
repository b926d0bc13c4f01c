"""What the comment lines of a CSV recording state: ``# key: value``."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from couchside.errors import CorruptFile
from couchside.formats.units import KNOWN_UNITS, find_microvolts_per
from couchside.recording import (
    AcquisitionSettings,
    Device,
    OrderReference,
    Patient,
    Placement,
    Recording,
    Sex,
)

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Statements:
    """What the comment lines say; None and empty mean that they do not."""

    rate_hz: float | None = None
    microvolts_per_unit: float | None = None
    start: datetime | None = None
    patient: Patient = Patient()
    settings: AcquisitionSettings = AcquisitionSettings()
    placement: Placement = Placement.NOT_STATED
    device: Device = Device()
    order: OrderReference = OrderReference()
    remarks: tuple[str, ...] = ()

    def build_recording(
        self,
        *,
        leads: tuple[str, ...],
        microvolts: NDArray[np.float64],
        rate_hz: float,
        remarks: tuple[str, ...],
    ) -> Recording:
        """The recording of these samples, of shape (lead, sample), with all that is stated."""
        return Recording(
            leads=leads,
            microvolts=microvolts,
            rate_hz=rate_hz,
            start=self.start,
            patient=self.patient,
            settings=self.settings,
            placement=self.placement,
            device=self.device,
            order=self.order,
            remarks=self.remarks + remarks,
        )


def read_statements(file_name: str, comments: tuple[str, ...]) -> Statements:
    """Read the comment lines above a table.

    Parameters
    ----------
    file_name : str
        For messages.
    comments : tuple of str
        Without their ``#``; lines whose key is not known are remarks.

    Returns
    -------
    Statements

    Raises
    ------
    CorruptFile
        If a known key has a value that cannot be read.
    """
    stated: dict[str, str] = {}
    remarks: list[str] = []
    for line in comments:
        key, separator, value = line.partition(":")
        folded = key.strip().casefold().replace(" ", "_")
        if separator and folded in KEYS:
            stated[folded] = value.strip()
        elif line:
            remarks.append(value.strip() if folded == "remark" else line)
    return _build(_Values(file_name=file_name, stated=stated), tuple(remarks))


KEYS = (
    "rate_hz",
    "unit",
    "start",
    "patient_id",
    "family_name",
    "given_name",
    "birth_date",
    "age_years",
    "sex",
    "high_pass_hz",
    "low_pass_hz",
    "notch_hz",
    "resolution_uv",
    "placement",
    "manufacturer",
    "model",
    "serial_number",
    "software_version",
    "station_name",
    "accession_number",
    "requested_procedure_id",
    "study_uid",
)
"""All keys that are understood, beside ``remark``, which may stand several times."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Values:
    file_name: str
    stated: dict[str, str]

    def text(self, key: str) -> str:
        return self.stated.get(key, "")

    def number(self, key: str) -> float | None:
        return self._convert(key, _finite, "a number")

    def day(self, key: str) -> date | None:
        return self._convert(key, date.fromisoformat, "a date such as 1980-12-31")

    def moment(self, key: str) -> datetime | None:
        return self._convert(
            key, datetime.fromisoformat, "a moment such as 2024-05-06T07:08:09+02:00"
        )

    def unit(self, key: str) -> float | None:
        return self._convert(key, _known_unit, f"one of {KNOWN_UNITS}")

    def sex(self, key: str) -> Sex | None:
        return self._convert(key, lambda text: Sex(text.casefold()), "female, male or other")

    def placement(self, key: str) -> Placement | None:
        return self._convert(key, Placement, "one of " + ", ".join(Placement))

    def _convert(self, key: str, convert: Callable[[str], T], expected: str) -> T | None:
        text = self.stated.get(key, "")
        if not text:
            return None
        try:
            return convert(text)
        except ValueError:
            raise CorruptFile(
                f"{self.file_name} states {key} as {text[:40]!r}, where {expected} belongs; "
                "correct that line",
                format_name="csv",
                field=key,
            ) from None


def _build(values: _Values, remarks: tuple[str, ...]) -> Statements:
    return Statements(
        rate_hz=values.number("rate_hz"),
        microvolts_per_unit=values.unit("unit"),
        start=values.moment("start"),
        patient=Patient(
            identifier=values.text("patient_id"),
            family_name=values.text("family_name"),
            given_name=values.text("given_name"),
            birth_date=values.day("birth_date"),
            stated_age_years=values.number("age_years"),
            sex=values.sex("sex") or Sex.NOT_STATED,
        ),
        settings=AcquisitionSettings(
            high_pass_hz=values.number("high_pass_hz"),
            low_pass_hz=values.number("low_pass_hz"),
            notch_hz=values.number("notch_hz"),
            resolution_uv=values.number("resolution_uv"),
        ),
        placement=values.placement("placement") or Placement.NOT_STATED,
        device=Device(
            manufacturer=values.text("manufacturer"),
            model=values.text("model"),
            serial_number=values.text("serial_number"),
            software_version=values.text("software_version"),
            station_name=values.text("station_name"),
        ),
        order=OrderReference(
            accession_number=values.text("accession_number"),
            requested_procedure_id=values.text("requested_procedure_id"),
            study_uid=values.text("study_uid"),
        ),
        remarks=remarks,
    )


def _finite(text: str) -> float:
    value = float(text)
    if not math.isfinite(value):
        raise ValueError(text)
    return value


def _known_unit(text: str) -> float:
    value = find_microvolts_per(text)
    if value is None:
        raise ValueError(text)
    return value
