"""`couchside check`: keep it, keep it with a remark, or record again, and why."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from couchside.cli.options import PdfOut, Rate, SheetOfPdf, Unit, choose_sheet, make_hints
from couchside.errors import InvalidInput
from couchside.recording import ColourCode


def check(
    files: Annotated[
        list[Path],
        typer.Argument(
            metavar="FILE...",
            readable=False,
            help="Recordings, or folders: every recording in them, however deep.",
            show_default=False,
        ),
    ],
    *,
    json_output: Annotated[
        bool, typer.Option("--json", help="Print JSON by docs/schema/check.schema.json instead.")
    ] = False,
    pdf: PdfOut = None,
    paper: SheetOfPdf = None,
    evidence: Annotated[
        bool,
        typer.Option(
            "--evidence",
            help="Add pages to --pdf: each finding where it is worst, to scale, with the "
            "electrode's part apart from the heart.",
        ),
    ] = False,
    protocol: Annotated[
        Path | None,
        typer.Option(
            "--protocol",
            metavar="TOML",
            readable=False,
            help="Your department's tell-now list; couchside protocol prints an example.",
            show_default=False,
        ),
    ] = None,
    policy: Annotated[
        Path | None,
        typer.Option(
            "--policy",
            metavar="TOML",
            readable=False,
            help="Your department's verdict policy; couchside policy prints the shipped one.",
            show_default=False,
        ),
    ] = None,
    leads: Annotated[
        bool,
        typer.Option("--leads", help="Also each lead's waves and ST levels, of one FILE."),
    ] = False,
    colours: Annotated[
        str,
        typer.Option("--colours", metavar="CODE", help="Code that names the cables: IEC or AHA."),
    ] = "IEC",
    rate: Rate = None,
    unit: Unit = None,
) -> None:
    """Say of each recording: keep it, keep it with a remark, or record again, and why.

    One FILE gives the whole answer; several, or a folder, a line each. In a folder, files that are
    no recordings are passed over and counted; a WFDB header and its data count as one. With --json,
    one FILE gives one object, several or a folder an object with the list "recordings".

    From 100 files on, all cores that the command may use work on them; the answer is the same, in
    the same order.

    Recordings of up to one hour are read. All of it is checked: in half an hour of recording, one
    bad stretch is enough for a remark.
    """
    from couchside.cli.check_command import run_check  # noqa: PLC0415
    from couchside.cli.check_wish import CheckWish  # noqa: PLC0415

    wish = CheckWish(
        hints=make_hints(rate, unit),
        as_json=json_output,
        pdf=pdf,
        paper=choose_sheet(paper, pdf),
        has_evidence=_wants_evidence(pdf, is_named=evidence),
        colour_code=_get_colour_code(colours),
        protocol=protocol,
        policy=policy,
        shows_leads=leads,
    )
    raise typer.Exit(run_check(files, wish))


def _wants_evidence(pdf: Path | None, *, is_named: bool) -> bool:
    if is_named and pdf is None:
        raise InvalidInput(
            "--evidence adds pages to --pdf, and nothing is drawn without it; "
            "add --pdf OUT, or leave --evidence out"
        )
    return is_named


def _get_colour_code(text: str) -> ColourCode:
    for code in ColourCode:
        if code.casefold() == text.casefold():
            return code
    raise InvalidInput(f"the colour code {text!r} is not known; choose {' or '.join(ColourCode)}")
