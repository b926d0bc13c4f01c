"""Make again the small files under `tests/data`: `python -m tools.fixtures`.

They are kept, and not made while testing, so that a change in reading or writing shows as one.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from couchside.formats import write_csv, write_dicom, write_wfdb
from couchside.recording import OrderReference, Recording
from couchside.simulate import get_scenario, simulate

FOLDER = Path(__file__).parents[1] / "tests" / "data" / "formats"
DURATION_S = 2.0


def main() -> None:
    """Write two seconds of a simulated recording in each format that is written."""
    recording = _cut(simulate(get_scenario("good")).recording)
    FOLDER.mkdir(parents=True, exist_ok=True)
    (FOLDER / "good.dcm").write_bytes(write_dicom(recording))
    (FOLDER / "good.csv").write_bytes(write_csv(recording))
    for file in write_wfdb(recording, "good").files:
        (FOLDER / file.name).write_bytes(file.content)


def _cut(recording: Recording) -> Recording:
    count = round(DURATION_S * recording.rate_hz)
    return replace(
        recording,
        microvolts=recording.microvolts[:, :count],
        device=replace(recording.device, station_name="Room 2"),
        order=OrderReference(
            accession_number="QB-1", requested_procedure_id="QB-1-1", study_uid="2.25.4711"
        ),
    )


if __name__ == "__main__":
    main()
