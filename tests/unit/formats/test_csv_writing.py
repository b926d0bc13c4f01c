"""What was typed or stated stays words where a table is opened in a spreadsheet."""

from __future__ import annotations

import csv
from dataclasses import replace

import pytest

from couchside.errors import InvalidInput
from couchside.formats import ArrivedFile, Parcel, read_parcel, write_csv
from couchside.recording import Recording

FORMULA = '=HYPERLINK("http://example.org","look")'


@pytest.mark.parametrize(
    "remark", [f"shivered,{FORMULA}", f'shivered; "{FORMULA}', "moved,\t@SUM(1)", "rested, -aVR"]
)
def test_no_cell_of_a_remark_is_a_formula_and_it_comes_back(
    full_recording: Recording, remark: str
) -> None:
    content = write_csv(replace(full_recording, remarks=(remark,)))
    for delimiter in ",;\t":
        lines = content.decode().splitlines()
        cells = [cell for row in csv.reader(lines, delimiter=delimiter) for cell in row]
        assert not [each for each in cells if each.strip().startswith(("=", "@", "-a"))]
    back = read_parcel(Parcel(files=(ArrivedFile(name="r.csv", content=content),)))
    assert back.remarks == (" ".join(remark.split()),)
    assert back.patient == full_recording.patient


def test_a_lead_that_is_named_like_a_formula_is_refused(full_recording: Recording) -> None:
    leads = ("=1+1", *full_recording.leads[1:])
    with pytest.raises(InvalidInput, match="take it for a formula"):
        write_csv(replace(full_recording, leads=leads))
