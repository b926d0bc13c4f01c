"""Recordings to CSV tables."""

from __future__ import annotations

import csv
import math
import re
from io import StringIO

from couchside.errors import InvalidInput
from couchside.recording import Placement, Recording, Sex

DECIMALS = 3
"""Of a microvolt: a thousandth of the finest step that recorders have."""

_FORMULA_SIGNS = ("=", "+", "-", "@")
_FORMULA_IN_A_LINE = re.compile(r"[,;\t]\s*[\"']?\s*[=+\-@]")


def write_csv(recording: Recording) -> bytes:
    """Write a recording as a CSV table that states everything the recording does.

    Parameters
    ----------
    recording : Recording
        Samples are rounded to thousandths of a microvolt; a missing one is an empty cell.

    Returns
    -------
    bytes
        UTF-8: comment lines ``# key: value``, a line with the leads and their unit, and then one
        line a sample. The form is described in ``docs/formats.md``.

    Raises
    ------
    InvalidInput
        If a lead's name begins like a formula.

    Notes
    -----
    Spreadsheets take a cell that begins with ``=``, ``+``, ``-`` or ``@`` for a formula, and what
    stands in a remark came from anybody: a comment line with such a cell in it is quoted as one.
    """
    text = StringIO()
    for key, value in _list_statements(recording):
        text.write(f"{_keep_in_one_cell(f'# {key}: {value}')}\n")
    table = csv.writer(text, lineterminator="\n")
    table.writerow([f"{_check_lead(_on_one_line(lead))}_uV" for lead in recording.leads])
    table.writerows([_format_cell(value) for value in row] for row in recording.microvolts.T)
    return text.getvalue().encode()


def _keep_in_one_cell(line: str) -> str:
    if not _FORMULA_IN_A_LINE.search(line):
        return line
    quoted = line.replace('"', '""')
    return f'"{quoted}"'


def _check_lead(name: str) -> str:
    if name.startswith(_FORMULA_SIGNS):
        raise InvalidInput(
            f"{name!r} cannot name a lead in a CSV table, as spreadsheets take it for a formula; "
            "rename it"
        )
    return name


def _list_statements(recording: Recording) -> list[tuple[str, str]]:
    patient, settings, device = recording.patient, recording.settings, recording.device
    birth = patient.birth_date
    stated: list[tuple[str, str | float | None]] = [
        ("rate_hz", recording.rate_hz),
        ("start", None if recording.start is None else recording.start.isoformat()),
        ("patient_id", patient.identifier),
        ("family_name", patient.family_name),
        ("given_name", patient.given_name),
        ("birth_date", None if birth is None else birth.isoformat()),
        ("age_years", patient.stated_age_years),
        ("sex", None if patient.sex is Sex.NOT_STATED else patient.sex.value),
        ("high_pass_hz", settings.high_pass_hz),
        ("low_pass_hz", settings.low_pass_hz),
        ("notch_hz", settings.notch_hz),
        ("resolution_uv", settings.resolution_uv),
        (
            "placement",
            None if recording.placement is Placement.NOT_STATED else recording.placement.value,
        ),
        ("manufacturer", device.manufacturer),
        ("model", device.model),
        ("serial_number", device.serial_number),
        ("software_version", device.software_version),
        ("station_name", device.station_name),
        ("accession_number", recording.order.accession_number),
        ("requested_procedure_id", recording.order.requested_procedure_id),
        ("study_uid", recording.order.study_uid),
        *(("remark", line) for remark in recording.remarks for line in remark.splitlines()),
    ]
    return [(key, _format_value(value)) for key, value in stated if value not in {None, ""}]


def _format_value(value: str | float | None) -> str:
    if isinstance(value, float | int):
        return repr(float(value)).removesuffix(".0")
    return _on_one_line(value or "")


def _on_one_line(text: str) -> str:
    return " ".join(text.split())


def _format_cell(value: float) -> str:
    return "" if math.isnan(value) else f"{value:.{DECIMALS}f}".rstrip("0").removesuffix(".")
