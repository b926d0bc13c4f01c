"""How visitors come in: from where, under which names, over what, and whether they must sign in."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

from couchside.errors import InvalidInput

LOOPBACK_HOSTS = frozenset({"127.0.0.1", "localhost", "::1"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Entrance:
    """What is so for every visitor of one server.

    Parameters
    ----------
    hosts : frozenset of str
        Names and addresses, in lower case, by which a browser may call.
    is_this_machine_only : bool
        Nobody else can reach the server; only then may it be used before there are accounts.
    has_tls : bool
        The browser speaks TLS, with this server or with the proxy before it.
    is_behind_proxy : bool
        Visitors come through a proxy, whose word on their address and TLS is taken.
    is_demo : bool
        Everybody is invented, and a visitor may be any of them.
    lock_after : timedelta or None
        After so long without a hand on it, a browser shows nothing until its person is back. None
        leaves that to the department's settings.
    """

    hosts: frozenset[str] = LOOPBACK_HOSTS
    is_this_machine_only: bool = True
    has_tls: bool = False
    is_behind_proxy: bool = False
    is_demo: bool = False
    lock_after: timedelta | None = None

    @property
    def cookie(self) -> str:
        """The name of the cookie; `__Host-` makes browsers hold it to TLS and to this host."""
        name = "couchside-demo" if self.is_demo else "couchside"
        return f"__Host-{name}" if self.has_tls else name


THIS_MACHINE = Entrance()
"""For whoever sits here."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ServeWish:
    """Where and how to serve, as asked for on the command line.

    `proxy` is the address of the proxy before this server, None where there is none.
    """

    host: str = "127.0.0.1"
    port: int = 8377
    names: tuple[str, ...] = ()
    certificate: Path | None = None
    key: Path | None = None
    proxy: str | None = None
    lock_after: timedelta | None = None


def make_entrance(wish: ServeWish, *, is_demo: bool = False) -> Entrance:
    """The entrance that a wish calls for.

    Raises InvalidInput, saying why and what to do, where others could reach the server without TLS.
    """
    _check_certificate(wish)
    is_loopback = wish.host in LOOPBACK_HOSTS
    has_tls = wish.certificate is not None
    if not is_loopback and not has_tls and wish.proxy is None:
        raise InvalidInput(
            f"{wish.host or 'every address'} can be reached from other machines, and passwords and "
            "health data would cross the network in the clear; give --tls-cert and --tls-key, or "
            "put a proxy that speaks TLS before it and name it with --behind-proxy, or use "
            "127.0.0.1"
        )
    if wish.proxy is not None and not wish.names:
        raise InvalidInput(
            "behind a proxy Couchside must know the name that browsers call; give it with --name"
        )
    return Entrance(
        hosts=_list_hosts(wish),
        is_this_machine_only=is_loopback and wish.proxy is None,
        has_tls=has_tls or wish.proxy is not None,
        is_behind_proxy=wish.proxy is not None,
        is_demo=is_demo,
        lock_after=wish.lock_after,
    )


def _check_certificate(wish: ServeWish) -> None:
    if (wish.certificate is None) != (wish.key is None):
        raise InvalidInput("a certificate needs its key; give --tls-cert and --tls-key together")
    for path in (wish.certificate, wish.key):
        if path is not None and not path.is_file():
            raise InvalidInput(f"there is no file {path}; name the certificate and its key as PEM")


def _list_hosts(wish: ServeWish) -> frozenset[str]:
    every = {"", "0.0.0.0", "::"}  # noqa: S104 (no name that a browser could call)
    own = set() if wish.host in every else {wish.host.lower()}
    return LOOPBACK_HOSTS | own | {name.strip().lower() for name in wish.names}
