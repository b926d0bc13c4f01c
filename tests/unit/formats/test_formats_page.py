"""docs/formats.md says everything that is understood."""

from __future__ import annotations

from pathlib import Path

from couchside.formats import FORMATS
from couchside.formats.csv_statements import KEYS
from couchside.formats.limits import MAX_DURATION_S, MAX_FILE_BYTES, MAX_SAMPLES, RATE_RANGE_HZ
from couchside.formats.wfdb_signals import STORAGE_FORMATS
from couchside.formats.zipped import MAX_MEMBERS, MAX_RATIO
from couchside.recording import MAX_LEADS, Placement

PAGE = (Path(__file__).parents[3] / "docs" / "formats.md").read_text()


def test_every_key_and_placement_is_described() -> None:
    for key in (*KEYS, "remark"):
        assert f"`{key}`" in PAGE
    for placement in set(Placement) - {Placement.NOT_STATED}:
        assert f"`{placement.value}`" in PAGE


def test_every_format_is_described() -> None:
    for form in FORMATS:
        assert f"| {form.name.upper()} |" in PAGE
    assert "formats " + ", ".join(map(str, STORAGE_FORMATS)) in PAGE


def test_the_limits_are_those_of_the_code() -> None:
    assert MAX_DURATION_S == 3600
    assert f"1 to {MAX_LEADS} leads; up to one hour; up to {MAX_SAMPLES // 10**6} million" in PAGE
    assert f"up to {MAX_FILE_BYTES // 10**6} MB; 1 to {RATE_RANGE_HZ[1] / 1000:.0f} 000 Hz" in PAGE
    assert f"{MAX_MEMBERS} files, 256 MB unpacked, and beyond 1 MB at most fifty times" in PAGE
    assert MAX_RATIO == 50
