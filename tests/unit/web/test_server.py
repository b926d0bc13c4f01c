"""Served to this machine, and to others over TLS alone."""

from __future__ import annotations

import socket
from pathlib import Path

import pytest

from couchside.errors import InvalidInput
from couchside.web.entrance import LOOPBACK_HOSTS, ServeWish, make_entrance
from couchside.web.server import bind_loopback, get_address, name_address

OTHERS = ["0.0.0.0", "192.168.1.7", "::", "", "example.org", "127.0.0.1.x"]  # noqa: S104 (refused)


@pytest.mark.parametrize("host", OTHERS)
def test_any_other_address_is_refused_with_a_sentence(host: str) -> None:
    with pytest.raises(InvalidInput, match=r"give --tls-cert and --tls-key, or .* 127\.0\.0\.1"):
        bind_loopback(host, 0)


def test_others_are_served_with_a_certificate(tmp_path: Path) -> None:
    certificate, key = tmp_path / "cert.pem", tmp_path / "key.pem"
    wish = ServeWish(host="0.0.0.0", names=("ecg.example",), certificate=certificate, key=key)  # noqa: S104
    with pytest.raises(InvalidInput, match=r"there is no file .*cert\.pem"):
        make_entrance(wish)
    certificate.touch()
    key.touch()
    entrance = make_entrance(wish)
    assert (entrance.has_tls, entrance.is_this_machine_only) == (True, False)
    assert entrance.hosts == LOOPBACK_HOSTS | {"ecg.example"}
    assert entrance.cookie == "__Host-couchside"
    with pytest.raises(InvalidInput, match="needs its key"):
        make_entrance(ServeWish(certificate=certificate))


def test_behind_a_proxy_even_the_loopback_address_asks_for_sign_in() -> None:
    with pytest.raises(InvalidInput, match="give it with --name"):
        make_entrance(ServeWish(proxy="127.0.0.1"))
    wish = ServeWish(proxy="127.0.0.1", names=("ecg.example",))
    entrance = make_entrance(wish)
    assert (entrance.has_tls, entrance.is_behind_proxy) == (True, True)
    assert not entrance.is_this_machine_only
    with bind_loopback("127.0.0.1", 0) as listener:
        assert name_address(listener, wish) == "https://ecg.example"


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
