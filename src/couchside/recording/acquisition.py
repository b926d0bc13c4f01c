"""How a recording was taken, as far as the file says; None and empty mean "not stated"."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class AcquisitionSettings:
    """Filters and resolution of the recorder.

    Parameters
    ----------
    high_pass_hz : float or None
        Lower edge of the pass band, such as 0.05.
    low_pass_hz : float or None
        Upper edge of the pass band, such as 150.
    notch_hz : float or None
        Mains filter's frequency; 0 where the file states that none was used.
    resolution_uv : float or None
        Microvolts per step of the coarsest lead.
    """

    high_pass_hz: float | None = None
    low_pass_hz: float | None = None
    notch_hz: float | None = None
    resolution_uv: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Device:
    """The recorder that made the file."""

    manufacturer: str = ""
    model: str = ""
    serial_number: str = ""
    software_version: str = ""
    station_name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderReference:
    """What ties a recording to the order it answers."""

    accession_number: str = ""
    requested_procedure_id: str = ""
    study_uid: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Origin:
    """The bytes that a recording was read from.

    Parameters
    ----------
    file_name : str
        The name under which the bytes arrived, without folders.
    format_name : str
        The reader that understood them, such as ``"dicom"``.
    sha256 : str
        Digest of the bytes, in lower-case hexadecimal.
    byte_count : int
        How many bytes there were.
    """

    file_name: str
    format_name: str
    sha256: str
    byte_count: int
