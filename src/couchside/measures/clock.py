"""Seconds as a person writes them: ``0:10``, ``1:02:03``."""

from __future__ import annotations


def format_clock(seconds: float, decimals: int = 0) -> str:
    """Minutes and seconds, with hours where there are any."""
    scale = 10**decimals
    units = round(seconds * scale)
    whole, part = divmod(units, scale)
    hours, rest = divmod(whole, 3600)
    minutes, second = divmod(rest, 60)
    tail = f".{part:0{decimals}d}" if decimals else ""
    if hours:
        return f"{hours}:{minutes:02d}:{second:02d}{tail}"
    return f"{minutes}:{second:02d}{tail}"
