"""The command line: what may be asked, and what each option means.

The work of a command is done in a module of its own, brought in when the command is called, so
that `--help` and a mistyped option need not wait for it.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from couchside.cli.application import app, print_version
from couchside.cli.audit import audit
from couchside.cli.backup import backup, restore
from couchside.cli.check import check
from couchside.cli.compare import compare
from couchside.cli.options import Paper, Port, Rate, Unit, make_hints
from couchside.cli.serve import serve
from couchside.cli.strip import strip

__all__ = ["app", "run"]


app.command(short_help="Keep it, keep it with a remark, or record again, and why.")(check)


@app.command("print", short_help="Draw a recording as a page to scale.")
def print_page(
    file: Annotated[
        Path,
        typer.Argument(metavar="FILE", readable=False, help="The recording.", show_default=False),
    ],
    *,
    out: Annotated[
        Path,
        typer.Option(
            "--out",
            "-o",
            metavar="OUT",
            readable=False,
            help="Where to: a .pdf or an .svg.",
            show_default=False,
        ),
    ],
    layout: Annotated[
        str,
        typer.Option("--layout", metavar="LAYOUT", help="3x4+1, 3x4+3, 6x2 or 12x1."),
    ] = "3x4+1",
    paper: Paper = "A4",
    speed: Annotated[float, typer.Option("--speed", metavar="MM/S", help="25 or 50 mm/s.")] = 25.0,
    gain: Annotated[
        float, typer.Option("--gain", metavar="MM/MV", help="5, 10 or 20 mm/mV.")
    ] = 10.0,
    cabrera: Annotated[
        bool, typer.Option("--cabrera", help="Limb leads in Cabrera order, with -aVR.")
    ] = False,
    put_right: Annotated[
        bool,
        typer.Option("--put-right", help="A preview with exchanged cables put back, marked so."),
    ] = False,
    rate: Rate = None,
    unit: Unit = None,
) -> None:
    """Draw a recording as a page to scale, with its verdict, findings and measures.

    With --put-right, the page is a preview derived by software and says so; it replaces no
    recording. Left leg exchanged with right leg alone leaves no trace and cannot be seen.

    The exit code says whether the page was drawn, not what the check thinks of the recording.
    """
    from couchside.cli.print_command import PrintWish, run_print  # noqa: PLC0415

    wish = PrintWish(
        hints=make_hints(rate, unit),
        out=out,
        layout=layout,
        paper=paper,
        speed_mm_per_s=speed,
        gain_mm_per_mv=gain,
        has_cabrera_order=cabrera,
        is_put_right=put_right,
    )
    raise typer.Exit(run_print(file, wish))


app.command(short_help="Say what changed from an earlier recording to a new one.")(compare)
app.command(short_help="Draw a continuous strip of one to three leads to scale.")(strip)


@app.command(short_help="Print an example of a tell-now list, to start from.")
def protocol() -> None:
    """Print an example of a tell-now list, to start from.

    Its values are examples: put your department's own in their place, with their sources, and give
    the file to couchside check --protocol.
    """
    from couchside.service.protocols import get_example_protocol  # noqa: PLC0415

    typer.echo(get_example_protocol(), nl=False)


@app.command(short_help="Print an example of a readiness checklist, to start from.")
def checklist() -> None:
    """Print an example of a readiness checklist, to start from.

    It says what is looked at on each recorder at the start and at the end of the day. Put your
    department's own in the data folder as readiness.toml.
    """
    from couchside.service.checklists import get_example_checklist  # noqa: PLC0415

    typer.echo(get_example_checklist(), nl=False)


@app.command(short_help="Print the shipped verdict policy, to start from.")
def policy() -> None:
    """Print the shipped verdict policy, to start from.

    Its rows say which finding asks for what, and what the reader is told. Change what your
    department sees differently and give the file to couchside check --policy, or put it into the
    data folder as verdict-policy.toml.
    """
    from couchside.quality.policy_reading import get_shipped_text  # noqa: PLC0415

    typer.echo(get_shipped_text(), nl=False)


app.command(short_help="Serve the pages until Ctrl-C.")(serve)
app.command(short_help="Check the audit trail's chain, or print its last entries.")(audit)
app.command(short_help="Write everything into one file, also while serving.")(backup)
app.command(short_help="Put a backup into a new data folder.")(restore)


@app.command()
def demo(
    *,
    data: Annotated[
        Path | None,
        typer.Option(
            "--data",
            metavar="FOLDER",
            readable=False,
            help="Keep the demo's data here; else it goes when the demo ends.",
            show_default=False,
        ),
    ] = None,
    port: Port = 8377,
    no_browser: Annotated[
        bool, typer.Option("--no-browser", help="Only print the address.")
    ] = False,
) -> None:
    """Open a round of simulated patients in the browser, until Ctrl-C."""
    from couchside.cli.serve_command import run_demo  # noqa: PLC0415

    raise typer.Exit(run_demo(data=data, port=port, opens_browser=not no_browser))


@app.command(short_help="Make a simulated recording, with the truth about it.")
def simulate(
    scenario: Annotated[
        str | None,
        typer.Argument(
            metavar="SCENARIO",
            help="A name from --list, or a .toml file.",
            show_default=False,
        ),
    ] = None,
    *,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            "-o",
            metavar="FILE",
            readable=False,
            help="Where to: a .hea (WFDB), a .dcm (DICOM) or a .csv.",
            show_default=False,
        ),
    ] = None,
    seed: Annotated[
        int | None,
        typer.Option(
            "--seed", min=0, help="Another seed: the same heart on another day.", show_default=False
        ),
    ] = None,
    noise: Annotated[
        list[str] | None,
        typer.Option(
            "--noise",
            metavar="NAME=FILE",
            help="Recorded noise that the scenario calls for: the first channel of FILE. "
            "May be given again.",
            show_default=False,
        ),
    ] = None,
    toml: Annotated[
        bool, typer.Option("--toml", help="Print the scenario as TOML, to be changed by hand.")
    ] = False,
    listing: Annotated[
        bool, typer.Option("--list", help="List the scenarios of the library.")
    ] = False,
) -> None:
    """Make a simulated recording, with the truth about it.

    Beside FILE stands the truth under the same name with the ending .truth.json: beats, where each
    wave begins and ends, faults as put in, cables, placement. The same scenario and seed give the
    same recording on every machine.
    """
    from couchside.cli.simulate_command import (  # noqa: PLC0415
        SimulateWish,
        list_scenarios,
        run_simulate,
    )

    if listing or scenario is None:
        typer.echo(list_scenarios())
    else:
        wish = SimulateWish(out=out, seed=seed, shows_toml=toml, noises=tuple(noise or ()))
        typer.echo(run_simulate(scenario, wish))


@app.command()
def version() -> None:
    """Print the version."""
    print_version(is_wanted=True)


def run(arguments: Sequence[str]) -> int:
    """Run a command line; what it raises is the outermost shell's to explain."""
    try:
        app(args=list(arguments), prog_name="couchside")
    except SystemExit as end:
        return end.code if isinstance(end.code, int) else 0
    return 0
