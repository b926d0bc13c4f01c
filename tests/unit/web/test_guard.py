"""Who may ask, even on the loopback address."""

from __future__ import annotations

import pytest
from fastapi.testclient import TestClient
from starlette.datastructures import Headers

from couchside.service import Desk
from couchside.web import create_app
from couchside.web.entrance import LOOPBACK_HOSTS, Entrance
from couchside.web.guard import comes_from_elsewhere, is_host_among

ADDRESS = "http://127.0.0.1:8377"
CHOICE = {"colour_code": "AHA", "paper_size": "A4"}


@pytest.mark.parametrize(
    "host", ["127.0.0.1", "127.0.0.1:8377", "localhost", "LOCALHOST:1", "[::1]", "[::1]:8377"]
)
def test_loopback_names_are_answered(host: str) -> None:
    assert is_host_among(host, LOOPBACK_HOSTS)


@pytest.mark.parametrize(
    "host",
    ["", "evil.example", "evil.example:8377", "127.0.0.1.evil.example", "localhost.evil.example",
     "192.168.0.5", "0.0.0.0",  # noqa: S104 (refused)
     "127.0.0.1:80@evil.example", "[::1", "[::1]x", "::1"],
)  # fmt: skip
def test_other_names_are_not(host: str, client: TestClient) -> None:
    assert not is_host_among(host, LOOPBACK_HOSTS)
    if host:
        answer = client.get("/round", headers={"host": host})
        assert answer.status_code == 400
        assert "open it as http://127.0.0.1" in answer.text


@pytest.mark.parametrize(
    ("headers", "is_stranger"),
    [
        ({}, False),
        ({"host": "127.0.0.1:8377", "origin": "http://127.0.0.1:8377"}, False),
        ({"sec-fetch-site": "same-origin"}, False),
        ({"sec-fetch-site": "none"}, False),
        ({"sec-fetch-site": "cross-site"}, True),
        ({"sec-fetch-site": "same-site"}, True),
        ({"host": "127.0.0.1:8377", "origin": "http://127.0.0.1:9999"}, True),
        ({"host": "127.0.0.1:8377", "origin": "http://evil.example"}, True),
        ({"host": "127.0.0.1:8377", "origin": "null"}, True),
    ],
)
def test_a_strangers_page_is_told_from_ours(headers: dict[str, str], *, is_stranger: bool) -> None:
    assert comes_from_elsewhere(Headers(headers)) is is_stranger


@pytest.mark.parametrize(
    "headers",
    [{"origin": "http://evil.example"}, {"origin": "null"}, {"sec-fetch-site": "cross-site"}],
)
def test_a_strangers_form_changes_nothing(client: TestClient, headers: dict[str, str]) -> None:
    answer = client.post("/settings", data=CHOICE, headers=headers)
    assert answer.status_code == 403
    assert client.get("/settings").text.count('value="IEC" checked') == 1


def test_our_own_form_is_taken(client: TestClient) -> None:
    headers = {"origin": ADDRESS, "sec-fetch-site": "same-origin"}
    assert client.post("/settings", data=CHOICE, headers=headers).status_code == 303
    assert client.get("/settings").text.count('value="AHA" checked') == 1


@pytest.mark.parametrize("path", ["/round", "/help", "/nowhere", "/api/health", "/recordings/9"])
def test_every_answer_carries_the_security_headers(client: TestClient, path: str) -> None:
    headers = client.get(path).headers
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "same-origin"
    assert headers["cache-control"] == "no-store"


def test_under_tls_browsers_are_told_to_stay_with_it(desk: Desk, client: TestClient) -> None:
    names = frozenset({"ecg.example"})
    entrance = Entrance(hosts=names, has_tls=True, is_this_machine_only=False)
    secure = TestClient(create_app(desk, entrance=entrance), base_url="https://ecg.example:8443")
    assert secure.get("/api/health").headers["strict-transport-security"] == "max-age=31536000"
    assert "strict-transport-security" not in client.get("/api/health").headers
    wrong = secure.get("/api/health", headers={"host": "127.0.0.1"})
    assert (wrong.status_code, "add the name with --name" in wrong.text) == (400, True)


def test_behind_a_proxy_nobody_is_answered_who_comes_around_it(desk: Desk) -> None:
    names = frozenset({"ecg.example"})
    entrance = Entrance(hosts=names, has_tls=True, is_behind_proxy=True, is_this_machine_only=False)
    app = create_app(desk, entrance=entrance)
    around = TestClient(app, base_url="http://ecg.example").get("/api/health")
    assert (around.status_code, "its proxy alone" in around.text) == (403, True)
    assert TestClient(app, base_url="https://ecg.example").get("/api/health").status_code == 200


def test_a_refusal_carries_them_too(client: TestClient) -> None:
    answer = client.get("/round", headers={"host": "evil.example"})
    assert "default-src 'none'" in answer.headers["content-security-policy"]


@pytest.mark.parametrize("announces_length", [True, False])
def test_too_large_a_body_is_refused_in_one_sentence(desk: Desk, *, announces_length: bool) -> None:
    small = TestClient(create_app(desk, max_body_bytes=2**20), base_url=ADDRESS)
    body = b"x" * (2**20 + 1)
    kind = {"content-type": "application/x-www-form-urlencoded"}
    content = body if announces_length else iter([body[: 2**19], body[2**19 :]])
    answer = small.post("/settings", content=content, headers=kind)
    assert answer.status_code == 413
    assert '<a class="button primary" href="/round">' in answer.text
    assert "More than 1 MB was sent at once; go back and hand in fewer files" in answer.text
