"""Every decoded sample of the open recordings, against general-purpose libraries.

WFDB records against ``wfdb.rdrecord(…, physical=True)``; where that refuses a header, the MATLAB
matrix in the signal file against ``scipy.io.loadmat``. DICOM against pydicom's
``waveform_array``. The tolerance of 1e-6 µV is rounding: the libraries divide by the gain where
Couchside multiplies by the step, so that doubles of some 10⁴ µV differ in their last bits.
"""

from __future__ import annotations

import warnings
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from pydicom import dcmread
from pydicom.waveforms.numpy_handler import multiplex_array
from scipy.io import loadmat

from couchside.errors import UnsupportedFeature
from couchside.formats import ArrivedFile, Parcel, gather_parcel, read, read_dicom_groups
from couchside.recording import STANDARD_LEADS, Recording

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # wfdb uses what pandas has deprecated
    import wfdb

pytestmark = pytest.mark.data

TOLERANCE_UV = 1e-6
FOLDERS = {
    "ludb": 120,
    "ptbxl": 243,
    "cinc2011": 310,
    "cinc2020": 119,
    "qtdb": 32,
    "mitdb": 6,
    "nstdb": 3,
    "ptbdb": 1,
}
"""Records in each folder, counted with ``find FOLDER -name '*.hea' | wc -l``."""


@pytest.mark.parametrize("folder", FOLDERS)
def test_wfdb_samples_are_those_of_the_library(open_data: Path, folder: str) -> None:
    headers = sorted((open_data / folder).rglob("*.hea"))
    assert len(headers) >= FOLDERS[folder]
    for header in headers:
        recording = read(header)
        expected_uv = 1000 * load_reference_mv(header)
        assert recording.microvolts.shape == expected_uv.shape, header.name
        np.testing.assert_allclose(
            recording.microvolts, expected_uv, rtol=0, atol=TOLERANCE_UV, err_msg=header.name
        )
        assert_names_agree(header, recording)


def load_reference_mv(header: Path) -> NDArray[np.float64]:
    """Millivolts of shape (lead, sample) from a library."""
    try:
        record = wfdb.rdrecord(str(header.with_suffix("")), physical=True)
    except wfdb.io.header.HeaderSyntaxError:
        return load_matrix_mv(header)
    samples: NDArray[np.float64] = record.p_signal.T
    return samples


def load_matrix_mv(header: Path) -> NDArray[np.float64]:
    """Stored numbers from the MATLAB matrix, over the gains that the header states as ``n/mV``."""
    lines = [line.split() for line in header.read_text().splitlines() if line[:1] != "#"][1:]
    gains = np.array([float(line[2].partition("/")[0]) for line in lines])
    assert all(line[2].partition("/")[2].lower() == "mv" for line in lines)
    stored: NDArray[np.float64] = loadmat(header.with_suffix(".mat"))["val"].astype(np.float64)
    millivolts: NDArray[np.float64] = stored / gains[:, None]
    return millivolts


def assert_names_agree(header: Path, recording: Recording) -> None:
    described = [line for line in header.read_text().splitlines() if line[:1] != "#"][1:]
    names = [line.split(maxsplit=8)[8].strip().lower() for line in described if line.strip()]
    read_names = [lead.lower() for lead in recording.leads]
    assert [name.removeprefix("v") if name in {"vx", "vy", "vz"} else name for name in names] == (
        read_names
    )


def test_the_swapped_columns_of_cinc2011_keep_their_names(open_data: Path) -> None:
    """Columns stand as I, II, III, aVR, aVF, aVL: by name the augmented leads sum to zero."""
    for header in sorted((open_data / "cinc2011").glob("*.hea"))[::31]:
        recording = read(header)
        assert recording.leads[3:6] == ("aVR", "aVF", "aVL")
        augmented = sum(recording.get_lead(lead) for lead in ("aVR", "aVL", "aVF"))
        assert np.nanmax(np.abs(augmented)) <= 20  # four roundings of 5 µV


def test_ptbdb_has_the_frank_leads_too(open_data: Path) -> None:
    recording = read(open_data / "ptbdb" / "s0010_re.hea")
    assert set(recording.leads) == {*STANDARD_LEADS, "X", "Y", "Z"}
    assert recording.patient.stated_age_years == 81
    assert "ECG date: 01/10/1990" in recording.remarks


def test_dates_that_strict_readers_refuse_are_kept_as_text(open_data: Path) -> None:
    recording = read(open_data / "cinc2020" / "A0003.hea")
    assert recording.start is None
    assert "Start as the header states it: 12-May-2020 12:33:59" in recording.remarks


def test_signal_files_lead_to_their_headers(open_data: Path) -> None:
    for name in ("cinc2020/A0003.mat", "ptbdb/s0010_re.xyz"):
        assert gather_parcel(open_data / name).main.name.endswith(".hea")


def test_dicom_samples_are_those_of_the_library(open_data: Path) -> None:
    path = open_data / "formats" / "dicom" / "waveform_ecg.dcm"
    dataset = dcmread(path)
    parcel = Parcel(files=(ArrivedFile(name=path.name, content=path.read_bytes()),))
    groups = read_dicom_groups(parcel)
    assert [group.label for group in groups] == ["RHYTHM", "MEDIAN BEAT"]
    for index, group in enumerate(groups):
        expected_uv = multiplex_array(dataset, index, as_raw=False).T
        np.testing.assert_allclose(group.microvolts, expected_uv, rtol=0, atol=TOLERANCE_UV)
    recording = read(path)
    np.testing.assert_array_equal(recording.microvolts, groups[0].microvolts)
    assert recording.leads == STANDARD_LEADS


@pytest.mark.parametrize(
    ("pattern", "told"),
    [("aecg/*.xml", "an HL7 aECG document"), ("scp/*.scp", "an SCP-ECG record")],
)
def test_what_is_not_read_yet_says_so(open_data: Path, pattern: str, told: str) -> None:
    paths = sorted((open_data / "formats").glob(pattern))
    assert paths
    for path in paths:
        with pytest.raises(UnsupportedFeature, match=f"is {told}, which is not read yet; export"):
            read(path)
