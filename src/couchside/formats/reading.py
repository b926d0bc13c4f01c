"""A path or a parcel to a recording."""

from __future__ import annotations

from dataclasses import replace
from datetime import MAXYEAR, MINYEAR
from os import PathLike

import numpy as np

from couchside.errors import CorruptFile, FormatError, UnknownFormat, UnsupportedFeature
from couchside.formats.foreign import EXPORT_ADVICE, find_foreign_kind
from couchside.formats.gathering import gather_parcel
from couchside.formats.hints import NO_HINTS, ReadHints
from couchside.formats.limits import check_byte_count
from couchside.formats.ordering import order_parcel
from couchside.formats.parcel import ArrivedFile, Parcel
from couchside.formats.registry import FORMATS, Format, find_format
from couchside.recording import Origin, Recording


def read(path: str | PathLike[str], hints: ReadHints = NO_HINTS) -> Recording:
    """Read one ECG from a file and the files that it refers to.

    Parameters
    ----------
    path : path
        A DICOM, WFDB or CSV file; a zip file of one recording's files; or a WFDB record's name
        without extension. The content decides what it is, never the extension.
    hints : ReadHints
        Rate and unit, used only where the file states none.

    Returns
    -------
    Recording
        With `origin` naming the bytes that it came from.

    Raises
    ------
    InvalidInput
        If the path cannot be read, or rate or unit are neither stated nor hinted.
    UnknownFormat
        If no reader knows the bytes.
    CorruptFile
        If the content breaks the rules of its format.
    UnsupportedFeature
        If the content is lawful but not read here, or beyond a stated limit.
    """
    return _read_ordered(gather_parcel(path), hints)


def read_parcel(parcel: Parcel, hints: ReadHints = NO_HINTS) -> Recording:
    """Read one ECG from files that arrived together; raises what `read` raises.

    Parameters
    ----------
    parcel : Parcel
        In any order, or as one zip file.
    hints : ReadHints
        Rate and unit, used only where the file states none.

    Returns
    -------
    Recording
        With `origin` naming the bytes that it came from.
    """
    check_byte_count(parcel.main.name, parcel.byte_count)
    return _read_ordered(order_parcel(parcel), hints)


def _read_ordered(ordered: Parcel, hints: ReadHints) -> Recording:
    form = find_format(ordered.main.content)
    if form is None:
        raise _explain_unknown(ordered.main)
    try:
        recording = form.read(ordered, hints)
    except FormatError as error:
        error.format_name = error.format_name or form.name
        raise
    if np.isnan(recording.microvolts).all():
        raise CorruptFile(
            f"{ordered.main.name} marks every sample of every lead as missing; export it again",
            format_name=form.name,
        )
    dated = _leave_out_impossible_start(recording)
    return replace(dated, origin=_describe_origin(ordered, form))


def _leave_out_impossible_start(recording: Recording) -> Recording:
    """Make a remark of a start at an end of the calendar, as a clock that was never set gives it.

    Such a moment cannot be moved to another zone, and tells nobody when the recording was made.
    """
    start = recording.start
    if start is None or MINYEAR < start.year < MAXYEAR:
        return recording
    remark = f"Start as the file states it: {start.isoformat()}"
    return replace(recording, start=None, remarks=(remark, *recording.remarks))


def _describe_origin(parcel: Parcel, form: Format) -> Origin:
    return Origin(
        file_name=parcel.main.name,
        format_name=form.name,
        sha256=parcel.sha256,
        byte_count=parcel.byte_count,
    )


def _explain_unknown(file: ArrivedFile) -> FormatError:
    kind = find_foreign_kind(file.content)
    if kind is not None and kind.is_ecg:
        return UnsupportedFeature(
            f"{file.name} is {kind.title}, which is not read yet; {EXPORT_ADVICE}"
        )
    if kind is not None:
        return UnknownFormat(
            f"{file.name} is {kind.title}, not an ECG that can be read; {EXPORT_ADVICE}"
        )
    if not file.content:
        return UnknownFormat(f"{file.name} is empty; copy or export the recording again")
    titles = ", ".join(form.title for form in FORMATS)
    return UnknownFormat(
        f"{file.name} is of no format that is read here ({titles}); "
        f"{EXPORT_ADVICE}, and give a WFDB record's signal file together with its header"
    )
