"""`couchside compare`: what changed from an earlier recording to a new one."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from couchside.cli.options import Rate, SheetOfPdf, Unit, choose_sheet, make_hints


def compare(
    new: Annotated[
        Path,
        typer.Argument(
            metavar="NEW", readable=False, help="The later recording.", show_default=False
        ),
    ],
    old: Annotated[
        Path,
        typer.Argument(
            metavar="OLD",
            readable=False,
            help="An earlier recording of the same person.",
            show_default=False,
        ),
    ],
    *,
    json_output: Annotated[
        bool, typer.Option("--json", help="Print JSON by docs/schema/compare.schema.json instead.")
    ] = False,
    pdf: Annotated[
        Path | None,
        typer.Option(
            "--pdf",
            metavar="OUT",
            readable=False,
            help="Also draw both beats one over the other, to scale, into this file.",
            show_default=False,
        ),
    ] = None,
    paper: SheetOfPdf = None,
    rate: Rate = None,
    unit: Unit = None,
) -> None:
    """Say what changed from an earlier recording of a person to a new one.

    Rate, intervals, QTc and axes with the uncertainty of each change; QRS, ST and T of each lead;
    what is not like for like; whether cables seem exchanged against then; and whether it looks like
    the same heart, which is a prompt to check identity and never a fact.

    The exit code says whether the two could be compared, not how much they differ.
    """
    from couchside.cli.compare_command import CompareWish, run_compare  # noqa: PLC0415

    wish = CompareWish(
        hints=make_hints(rate, unit),
        as_json=json_output,
        pdf=pdf,
        paper=choose_sheet(paper, pdf),
    )
    raise typer.Exit(run_compare(new, old, wish))
