"""What an ECG is: leads of microvolts against time, and what is known about them."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from couchside.errors import InvalidInput
from couchside.recording.acquisition import AcquisitionSettings, Device, OrderReference, Origin
from couchside.recording.patient import Patient
from couchside.recording.placements import Placement

MAX_LEADS = 18


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, weakref_slot=True)
class Recording:
    """One ECG, as it came from the recorder.

    Parameters
    ----------
    leads : tuple of str
        1 to 18 different names; those that the trade knows are spelled as `Lead` spells them.
    microvolts : array of shape (lead, sample)
        Samples in µV; NaN where the file says that a sample is missing. Copied and made read-only.
    rate_hz : float
        Samples per second of every lead.
    start : datetime or None
        Start of the first sample; without a zone where the file states none.
    patient, settings, placement, device, order, origin
        What the file says beside the samples.
    remarks : tuple of str
        Free text that came with the recording.

    Raises
    ------
    InvalidInput
        If the shape does not match the names, a name stands twice, there are no samples or more
        than 18 leads, the rate is not positive, or a sample is infinite.
    """

    leads: tuple[str, ...]
    microvolts: NDArray[np.float64] = field(repr=False)
    rate_hz: float
    start: datetime | None = None
    patient: Patient = Patient()
    settings: AcquisitionSettings = AcquisitionSettings()
    placement: Placement = Placement.NOT_STATED
    device: Device = Device()
    order: OrderReference = OrderReference()
    origin: Origin | None = None
    remarks: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        microvolts = np.array(self.microvolts, dtype=np.float64, order="C", copy=True)
        _check_leads(self.leads)
        _check_samples(microvolts, len(self.leads), self.rate_hz)
        microvolts.setflags(write=False)
        object.__setattr__(self, "microvolts", microvolts)

    @property
    def sample_count(self) -> int:
        """Samples in each lead."""
        return int(self.microvolts.shape[1])

    @property
    def duration_s(self) -> float:
        """Length in seconds."""
        return self.sample_count / self.rate_hz

    def has_lead(self, name: str) -> bool:
        """Whether a lead of that name was recorded."""
        return name in self.leads

    def get_lead(self, name: str) -> NDArray[np.float64]:
        """Samples of one lead in µV, shape (sample,).

        Raises
        ------
        InvalidInput
            If the recording has no such lead.
        """
        if name not in self.leads:
            raise InvalidInput(f"there is no lead {name}; the leads are {', '.join(self.leads)}")
        row: NDArray[np.float64] = self.microvolts[self.leads.index(name)]
        return row


def _check_leads(leads: tuple[str, ...]) -> None:
    if not 1 <= len(leads) <= MAX_LEADS:
        raise InvalidInput(f"{len(leads)} leads were given; Couchside takes 1 to {MAX_LEADS}")
    doubled = sorted({name for name in leads if leads.count(name) > 1})
    if doubled:
        raise InvalidInput(f"lead {', '.join(doubled)} stands more than once; name each lead once")


def _check_samples(microvolts: NDArray[np.float64], lead_count: int, rate_hz: float) -> None:
    if microvolts.ndim != 2 or microvolts.shape[0] != lead_count:
        raise InvalidInput(
            f"samples of shape {microvolts.shape} do not fit {lead_count} leads; "
            "give one row for each lead"
        )
    if microvolts.shape[1] == 0:
        raise InvalidInput("the recording holds no samples")
    if not (np.isfinite(rate_hz) and rate_hz > 0):
        raise InvalidInput(f"a sampling rate of {rate_hz} Hz cannot be; give a positive number")
    if np.isinf(microvolts).any():
        raise InvalidInput("a sample is infinite; mark missing samples as NaN instead")
