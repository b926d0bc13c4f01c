"""Served to this machine only."""

from __future__ import annotations

import socket

import pytest

from couchside.errors import InvalidInput
from couchside.web.server import bind_loopback, check_loopback, get_address

OTHERS = ["0.0.0.0", "192.168.1.7", "::", "", "example.org", "127.0.0.1.x"]  # noqa: S104 (refused)


@pytest.mark.parametrize("host", OTHERS)
def test_any_other_address_is_refused_with_a_sentence(host: str) -> None:
    with pytest.raises(InvalidInput, match=r"serves this machine only; use 127\.0\.0\.1"):
        check_loopback(host)


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost"])
def test_a_free_port_is_found(host: str) -> None:
    with bind_loopback(host, 0) as listener:
        port = listener.getsockname()[1]
        assert get_address(listener) == f"http://127.0.0.1:{port}"


def test_a_browser_may_call_before_the_first_answer_is_ready() -> None:
    with (
        bind_loopback("127.0.0.1", 0) as listener,
        socket.create_connection(listener.getsockname()[:2], timeout=2) as caller,
    ):
        assert caller.getpeername() == listener.getsockname()


@pytest.mark.parametrize("port", [70000, -1])
def test_a_port_that_cannot_be_is_refused(port: int) -> None:
    with pytest.raises(InvalidInput, match=r"cannot be used .*choose another with --port"):
        bind_loopback("127.0.0.1", port)


def test_a_taken_port_is_named() -> None:
    with bind_loopback("127.0.0.1", 0) as first:
        port = first.getsockname()[1]
        with pytest.raises(InvalidInput, match=f"port {port} on 127.0.0.1 is in use"):
            bind_loopback("127.0.0.1", port)
