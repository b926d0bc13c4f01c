"""Where the benchmarks write what they measured."""

from __future__ import annotations

from pathlib import Path

VALIDATION = Path(__file__).parents[1] / "docs" / "validation.md"


def read_section(opens: str, closes: str) -> str:
    """What stands between two marks of the page; raises ValueError where one of them is missing."""
    return _part(opens, closes)[1]


def write_section(opens: str, closes: str, body: str) -> None:
    """Put a text between two marks of the page, and leave the rest alone.

    Raises ValueError where one of the marks is missing.
    """
    before, _, after = _part(opens, closes)
    VALIDATION.write_text(f"{before}{opens}\n{body}\n{closes}{after}", encoding="utf-8")


def _part(opens: str, closes: str) -> tuple[str, str, str]:
    before, rest = VALIDATION.read_text(encoding="utf-8").split(opens)
    section, after = rest.split(closes, maxsplit=1)
    return before, section, after
