"""`couchside strip`: a continuous strip of chosen leads to scale, of a recording of any length."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Annotated

import typer

from couchside.cli.options import Paper, Rate, Unit, make_hints
from couchside.errors import InvalidInput

_CLOCK = re.compile(r"(?:(?:(?P<hours>\d{1,3}):)?(?P<minutes>\d{1,4}):)?(?P<seconds>\d+(?:\.\d+)?)")


def strip(
    file: Annotated[
        Path,
        typer.Argument(metavar="FILE", readable=False, help="The recording.", show_default=False),
    ],
    *,
    pdf: Annotated[
        Path,
        typer.Option(
            "--pdf", metavar="OUT", readable=False, help="Where to: a .pdf.", show_default=False
        ),
    ],
    leads: Annotated[
        str | None,
        typer.Option(
            "--leads",
            metavar="LEADS",
            help="One to three leads, such as II,V1,V5; by default II, else the first.",
            show_default=False,
        ),
    ] = None,
    start: Annotated[
        str, typer.Option("--from", metavar="TIME", help="Where to begin: 00:10, 1:02:03 or 10.")
    ] = "0",
    seconds: Annotated[
        float, typer.Option("--seconds", metavar="S", help="How long, up to 3600.")
    ] = 60.0,
    speed: Annotated[float, typer.Option("--speed", metavar="MM/S", help="25 or 50 mm/s.")] = 25.0,
    gain: Annotated[
        float, typer.Option("--gain", metavar="MM/MV", help="5, 10 or 20 mm/mV.")
    ] = 10.0,
    paper: Paper = "A4",
    rate: Rate = None,
    unit: Unit = None,
) -> None:
    """Draw a continuous strip of one to three leads to scale, as many pages as it takes.

    Beats and RR intervals stand above the leads. A WFDB record may be of any length, a day or more:
    only the stretch that is drawn is read.
    """
    from couchside.cli.strip_command import StripWish, run_strip  # noqa: PLC0415

    wish = StripWish(
        hints=make_hints(rate, unit),
        pdf=pdf,
        leads=() if leads is None else tuple(leads.split(",")),
        from_s=parse_clock(start),
        seconds=seconds,
        speed_mm_per_s=speed,
        gain_mm_per_mv=gain,
        paper=paper,
    )
    raise typer.Exit(run_strip(file, wish))


def parse_clock(text: str) -> float:
    """Seconds from ``10``, ``00:10`` or ``1:02:03``.

    Raises
    ------
    InvalidInput
        If it is none of these.
    """
    match = _CLOCK.fullmatch(text.strip())
    if match is None:
        raise InvalidInput(f"{text!r} is no time; give seconds, or minutes as in 00:10 or 1:02:03")
    hours, minutes = (int(match[name] or 0) for name in ("hours", "minutes"))
    return 3600.0 * hours + 60.0 * minutes + float(match["seconds"])
