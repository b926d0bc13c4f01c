"""What the command line of `couchside check` asks for beside the files."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from couchside.formats import ReadHints
from couchside.recording import ColourCode


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckWish:
    """What the command line asks for beside the files."""

    hints: ReadHints
    as_json: bool
    pdf: Path | None
    paper: str
    colour_code: ColourCode
    has_evidence: bool = False
    protocol: Path | None = None
    policy: Path | None = None
    shows_leads: bool = False
