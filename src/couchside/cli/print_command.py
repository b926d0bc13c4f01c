"""`couchside print`: one recording as a page to scale."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from couchside.cli.examine import explain_unused_rate
from couchside.cli.exits import ExitCode
from couchside.cli.output_files import check_target, write_whole
from couchside.cli.plain_words import complain, complain_of, printable
from couchside.errors import CouchsideError
from couchside.formats import ReadHints, read
from couchside.paper import LimbOrder, render
from couchside.quality import check
from couchside.quality.interchange import preview_put_right


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintWish:
    """How the page shall be."""

    hints: ReadHints
    out: Path
    layout: str
    paper: str
    speed_mm_per_s: float
    gain_mm_per_mv: float
    has_cabrera_order: bool
    is_put_right: bool = False


def run_print(path: Path, wish: PrintWish) -> ExitCode:
    """Read, check and draw; the target's ending chooses PDF or SVG."""
    check_target(wish.out, suffixes=(".pdf", ".svg"))
    try:
        recording = read(path, hints=wish.hints)
    except CouchsideError as error:
        complain(str(error))
        return ExitCode.UNREADABLE
    complain_of(explain_unused_rate(recording, wish.hints))
    if wish.is_put_right:
        recording = preview_put_right(recording)
    page = render(
        recording,
        None if wish.is_put_right else check(recording),
        layout=wish.layout,
        paper=wish.paper,
        speed_mm_per_s=wish.speed_mm_per_s,
        gain_mm_per_mv=wish.gain_mm_per_mv,
        limb_order=LimbOrder.CABRERA if wish.has_cabrera_order else LimbOrder.STANDARD,
    )
    write_whole(wish.out, page.svg() if wish.out.suffix.lower() == ".svg" else page.pdf())
    print(f"Drawn to {printable(str(wish.out))}.")  # noqa: T201 - the command's answer
    return ExitCode.DONE
