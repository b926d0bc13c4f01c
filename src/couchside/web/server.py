"""Serve the pages: on this machine, or to others over TLS."""

from __future__ import annotations

import errno
import socket
import ssl
import sys
from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path

import uvicorn

from couchside.errors import InvalidInput
from couchside.exchange.single_sign_on import SignOnSettings
from couchside.exchange.watched_folder import FolderWatch
from couchside.service import Desk, recover
from couchside.web.app import create_app
from couchside.web.changes import Changes
from couchside.web.entrance import THIS_MACHINE, Entrance, ServeWish, make_entrance

DEFAULT_HOST = "127.0.0.1"
_BACKLOG = 128

SWITCH_EVERY_S = 0.001
"""So soon a thread that checks an arrival gives way to one that answers a page; five times as soon
as Python has it by itself [Python, sys.setswitchinterval]."""
_PLAIN = ServeWish()


def serve(
    desk: Desk,
    wish: ServeWish,
    *,
    is_demo: bool = False,
    inbox: Path | None = None,
    sign_on: SignOnSettings | None = None,
    when_ready: Callable[[str], None] | None = None,
) -> None:
    """Finish what a crash cut short, then serve until interrupted.

    `inbox` is a folder to watch, `sign_on` says who signs people on. `when_ready` is called with
    the pages' address once they can be opened. Port 0 takes any free one. Raises InvalidInput
    where others could reach the pages without TLS, or where the address cannot be had.
    """
    entrance = make_entrance(wish, is_demo=is_demo)
    sys.setswitchinterval(SWITCH_EVERY_S)
    with bind(wish.host, wish.port) as listener:
        recover(desk)
        with _watch(desk, inbox):
            if when_ready is not None:
                when_ready(name_address(listener, wish))
            make_server(desk, entrance=entrance, wish=wish, sign_on=sign_on).run(sockets=[listener])


def make_server(
    desk: Desk,
    *,
    entrance: Entrance = THIS_MACHINE,
    wish: ServeWish = _PLAIN,
    sign_on: SignOnSettings | None = None,
) -> uvicorn.Server:
    """The server of a desk's pages, for a socket that is bound already."""
    app = create_app(desk, entrance=entrance, sign_on=sign_on)
    config = uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,
        server_header=False,
        proxy_headers=wish.proxy is not None,
        forwarded_allow_ips=wish.proxy or "",
        ssl_certfile=wish.certificate,
        ssl_keyfile=wish.key,
        timeout_graceful_shutdown=3,
    )
    _check_certificate(config)
    return _Server(config, changes=app.state.changes)


class _Server(uvicorn.Server):
    """A server that ends its streams of changes before it waits for other answers."""

    def __init__(self, config: uvicorn.Config, *, changes: Changes) -> None:
        super().__init__(config)
        self._changes = changes

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """End the streams, then the rest."""
        self._changes.close()
        await super().shutdown(sockets)


def _check_certificate(config: uvicorn.Config) -> None:
    try:
        config.load()
    except (OSError, ssl.SSLError) as error:
        raise InvalidInput(
            f"the certificate or its key cannot be used ({error}); give both as PEM, the key "
            "without a password"
        ) from error


def bind_loopback(host: str, port: int) -> socket.socket:
    """A listening socket on a loopback address; raises InvalidInput for any other."""
    make_entrance(ServeWish(host=host))
    return bind(host, port)


def bind(host: str, port: int) -> socket.socket:
    """A listening socket; a browser that calls now is answered soon."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    listener = socket.socket(family, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((host, port))
        listener.listen(_BACKLOG)
    except (OSError, OverflowError) as error:
        listener.close()
        raise InvalidInput(
            f"port {port} on {host} {_why_not(error)}; choose another with --port"
        ) from error
    return listener


def check_port(port: int, host: str = DEFAULT_HOST) -> None:
    """Refuse a port that cannot be had, before anything is prepared for it.

    Raises InvalidInput.
    """
    bind(host, port).close()


def _why_not(error: OSError | OverflowError) -> str:
    if isinstance(error, OSError) and error.errno == errno.EADDRINUSE:
        return "is in use, perhaps by a Couchside that runs already"
    said = error.strerror if isinstance(error, OSError) else None
    return f"cannot be used ({said or error})"


def get_address(listener: socket.socket) -> str:
    """Where a browser opens the pages."""
    host, port, *_ = listener.getsockname()
    return f"http://[{host}]:{port}" if ":" in host else f"http://{host}:{port}"


def name_address(listener: socket.socket, wish: ServeWish) -> str:
    """Where a browser opens the pages, by the name that others call."""
    if wish.proxy is not None:
        return f"https://{wish.names[0]}"
    if wish.certificate is None:
        return get_address(listener)
    port = listener.getsockname()[1]
    return f"https://{(*wish.names, wish.host)[0] or 'localhost'}:{port}"


def _watch(desk: Desk, inbox: Path | None) -> AbstractContextManager[object]:
    return FolderWatch(desk, inbox) if inbox is not None else nullcontext()
