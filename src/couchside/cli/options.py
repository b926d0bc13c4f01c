"""Options that several commands share."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from couchside.formats import ReadHints

Rate = Annotated[
    float | None,
    typer.Option(
        "--rate",
        metavar="HZ",
        help="Sampling rate, where the file states none.",
        show_default=False,
    ),
]
Unit = Annotated[
    str | None,
    typer.Option(
        "--unit",
        metavar="UNIT",
        help="Unit of the samples where the file states none: uV, mV, V, nV, or the microvolts "
        "in one step.",
        show_default=False,
    ),
]
Paper = Annotated[
    str, typer.Option("--paper", metavar="SIZE", help="The sheet, landscape: A4 or Letter.")
]


def make_hints(rate_hz: float | None, unit: str | None) -> ReadHints:
    """What ``--rate`` and ``--unit`` say."""
    from couchside.formats import ReadHints, parse_unit  # noqa: PLC0415

    step_uv = None if unit is None else parse_unit(unit)
    return ReadHints(rate_hz=rate_hz, microvolts_per_unit=step_uv)
