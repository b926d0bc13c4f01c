"""The samples of the API, filtered for a view where somebody asks for it."""

from __future__ import annotations

from typing import Protocol

import numpy as np
from fastapi.testclient import TestClient

from couchside.service import Desk, Received, open_recording
from couchside.waves.view_filter import ViewFilter, filter_stretch


class Bring(Protocol):
    """Hands in a simulated recording."""

    def __call__(self, scenario: str = "good") -> Received:
        """Receive it."""


def test_the_samples_are_filtered_only_when_asked(
    client: TestClient, desk: Desk, bring: Bring
) -> None:
    received = bring().recording
    assert received is not None
    recording = open_recording(desk, received.id).recording
    last = round(5 * recording.rate_hz)
    address = f"/api/recordings/{received.id}/samples?length_s=5"
    plain = client.get(address)
    assert plain.headers["x-filter"] == ""
    assert plain.content == recording.microvolts[:, :last].astype("<f4").tobytes()
    asked = client.get(f"{address}&low_pass_hz=40&high_pass_hz=0.5&notch_hz=50")
    assert asked.headers["x-filter"] == "high-pass 0.5 Hz, low-pass 40 Hz, notch 50 Hz"
    wish = ViewFilter(high_pass_hz=0.5, low_pass_hz=40.0, notch_hz=50.0)
    expected = filter_stretch(recording, wish, 0, last).astype("<f4")
    shown = np.frombuffer(asked.content, "<f4").reshape(expected.shape)
    np.testing.assert_array_equal(shown, expected)
    refused = client.get(f"{address}&low_pass_hz=99999")
    assert refused.status_code == 422
    assert "does not fit" in refused.json()["sentence"]
