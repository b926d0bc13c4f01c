"""What `couchside serve` may be asked."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from typing import Annotated

import typer

from couchside.cli.options import Database, DataFolder, Port


def serve(
    *,
    data: DataFolder = None,
    database: Database = "",
    port: Port = 8377,
    inbox: Annotated[
        Path | None,
        typer.Option(
            "--inbox",
            metavar="FOLDER",
            readable=False,
            help="A folder to watch: each recording put into it is received.",
            show_default=False,
        ),
    ] = None,
    host: Annotated[
        str,
        typer.Option(
            "--host",
            metavar="ADDRESS",
            help="Address to answer at; any but this machine's own needs TLS.",
        ),
    ] = "127.0.0.1",
    name: Annotated[
        list[str] | None,
        typer.Option(
            "--name",
            metavar="NAME",
            help="A name by which browsers call this machine or the proxy before it. May be given "
            "again.",
            show_default=False,
        ),
    ] = None,
    tls_cert: Annotated[
        Path | None,
        typer.Option(
            "--tls-cert",
            metavar="FILE",
            readable=False,
            help="Certificate for TLS, PEM, with those that it rests on.",
            show_default=False,
        ),
    ] = None,
    tls_key: Annotated[
        Path | None,
        typer.Option(
            "--tls-key", metavar="FILE", readable=False, help="Its key, PEM.", show_default=False
        ),
    ] = None,
    behind_proxy: Annotated[
        str | None,
        typer.Option(
            "--behind-proxy",
            metavar="ADDRESS",
            help="Address of the proxy that speaks TLS with the browsers; its word on who calls is "
            "taken, and nobody else's.",
            show_default=False,
        ),
    ] = None,
    lock_after: Annotated[
        int | None,
        typer.Option(
            "--lock-after",
            metavar="MINUTES",
            min=1,
            max=720,
            help="Lock a browser on which nobody has had a hand for so long, whatever the settings "
            "say.",
            show_default=False,
        ),
    ] = None,
) -> None:
    """Serve the pages until Ctrl-C.

    On this machine alone, nobody needs to sign in until the first account is made, with the
    one-time link that is printed at the start. Other machines are served over TLS alone.
    """
    from couchside.cli.serve_command import run_serve  # noqa: PLC0415
    from couchside.web.entrance import ServeWish  # noqa: PLC0415

    wish = ServeWish(
        host=host,
        port=port,
        names=tuple(name or ()),
        certificate=tls_cert,
        key=tls_key,
        proxy=behind_proxy,
        lock_after=None if lock_after is None else timedelta(minutes=lock_after),
    )
    raise typer.Exit(run_serve(data=data, database=database, wish=wish, inbox=inbox))
