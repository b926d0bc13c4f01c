"""Serve the pages on this machine, and on this machine only."""

from __future__ import annotations

import errno
import socket
from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path

import uvicorn

from couchside.errors import InvalidInput
from couchside.exchange.watched_folder import FolderWatch
from couchside.service import Desk, recover
from couchside.web.app import create_app
from couchside.web.changes import Changes
from couchside.web.guard import LOOPBACK_HOSTS

DEFAULT_HOST = "127.0.0.1"
DEFAULT_PORT = 8377
_BACKLOG = 128


def serve(
    desk: Desk,
    *,
    host: str = DEFAULT_HOST,
    port: int = DEFAULT_PORT,
    inbox: Path | None = None,
    when_ready: Callable[[str], None] | None = None,
) -> None:
    """Finish what a crash cut short, then serve until interrupted.

    `inbox` is a folder to watch. `when_ready` is called with the pages' address once they can be
    opened. Port 0 takes any free one. Raises InvalidInput where the address is not the loopback's
    or cannot be had.
    """
    with bind_loopback(host, port) as listener:
        recover(desk)
        _answer(desk, listener, inbox, when_ready)


def _answer(
    desk: Desk,
    listener: socket.socket,
    inbox: Path | None,
    when_ready: Callable[[str], None] | None,
) -> None:
    with _watch(desk, inbox):
        if when_ready is not None:
            when_ready(get_address(listener))
        make_server(desk).run(sockets=[listener])


def make_server(desk: Desk) -> uvicorn.Server:
    """The server of a desk's pages, for a socket that is bound already."""
    app = create_app(desk)
    config = uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,
        server_header=False,
        proxy_headers=False,
        timeout_graceful_shutdown=3,
    )
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


def bind_loopback(host: str, port: int) -> socket.socket:
    """A listening socket on a loopback address; a browser that calls now is answered soon."""
    check_loopback(host)
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
    bind_loopback(host, port).close()


def _why_not(error: OSError | OverflowError) -> str:
    if isinstance(error, OSError) and error.errno == errno.EADDRINUSE:
        return "is in use, perhaps by a Couchside that runs already"
    said = error.strerror if isinstance(error, OSError) else None
    return f"cannot be used ({said or error})"


def check_loopback(host: str) -> None:
    """Refuse any address that another machine could reach.

    Raises InvalidInput.
    """
    if host not in LOOPBACK_HOSTS:
        raise InvalidInput(
            f"{host} can be reached from other machines, and without sign-in Couchside serves this "
            "machine only; use 127.0.0.1"
        )


def get_address(listener: socket.socket) -> str:
    """Where a browser opens the pages."""
    host, port, *_ = listener.getsockname()
    return f"http://[{host}]:{port}" if ":" in host else f"http://{host}:{port}"


def _watch(desk: Desk, inbox: Path | None) -> AbstractContextManager[object]:
    return FolderWatch(desk, inbox) if inbox is not None else nullcontext()
