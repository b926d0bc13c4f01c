"""What the department's protocol wants said now stands on the page, above the verdict."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from fastapi.testclient import TestClient

from couchside.service import Received
from couchside.service.protocols import PROTOCOL_FILE, get_example_protocol

Bring = Callable[..., Received]


def _open(client: TestClient, bring: Bring) -> str:
    recording = bring().recording
    assert recording is not None
    return client.get(f"/recordings/{recording.id}").text


def _put(tmp_path: Path, text: str) -> None:
    (tmp_path / "data" / PROTOCOL_FILE).write_text(text, encoding="utf-8")


def test_value_is_told_above_the_verdict(client: TestClient, bring: Bring, tmp_path: Path) -> None:
    _put(tmp_path, get_example_protocol().replace("at_most = 35", "at_most = 200"))

    page = _open(client, bring)

    assert "values are examples" in page
    assert page.index("Show to a clinician now: heart rate") < page.index('aria-label="Verdict"')


def test_protocol_that_nothing_meets_says_nothing(
    client: TestClient, bring: Bring, tmp_path: Path
) -> None:
    _put(tmp_path, get_example_protocol())

    page = _open(client, bring)

    assert "Show to a clinician now" not in page
    assert "values are examples" not in page


def test_without_a_protocol_nothing_is_said(client: TestClient, bring: Bring) -> None:
    assert "protocol" not in _open(client, bring)


def test_broken_protocol_is_named_and_keeps_nobody_from_the_page(
    client: TestClient, bring: Bring, tmp_path: Path
) -> None:
    _put(tmp_path, "title = 3")

    page = _open(client, bring)

    assert "Not judged by the protocol: tell-now.toml, line 1: title is 3" in page
    assert 'aria-label="Verdict"' in page
