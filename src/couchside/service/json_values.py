"""Values as the JSON has them: what is absent is null, and no number is NaN."""

from __future__ import annotations

import math

JsonObject = dict[str, object]

SCHEMA_VERSION = "1.0"
"""Of the assessment, the comparison and the waves: under 1.x fields may be added."""


def text(words: str) -> str | None:
    """A text; null for an empty one."""
    return words or None


def number(value: float | None) -> float | None:
    """A JSON number to seven figures; null for what is absent, NaN or infinite."""
    if value is None or not math.isfinite(value):
        return None
    return float(f"{value:.7g}")
