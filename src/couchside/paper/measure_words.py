"""A measure in words: its value and limits as printed, and where the one stands to the other."""

from __future__ import annotations

from collections.abc import Iterable

from couchside.measures.model import Limits, Measured, Standing, Trust

UNCHECKED = "‡"
UNCHECKED_NOTE = f"{UNCHECKED} limit not checked against its source"
QUOTED = "†"

STANDING_WORDS = {
    Standing.WITHIN: "within",
    Standing.BELOW: "▼ below",
    Standing.ABOVE: "▲ above",
    Standing.NO_LIMITS: "",
}


def format_value(measured: Measured) -> str:
    """A value with its unit, or "not measurable"."""
    if measured.value is None:
        return "not measurable"
    joint = "" if measured.unit in {"deg", "/min"} else " "
    return f"{measured.number}{joint}{'°' if measured.unit == 'deg' else measured.unit}".replace(
        "-", "−"
    )


def format_half_width(measured: Measured) -> str:
    """How far the value may be off, "" where none is known."""
    if measured.value is None or measured.uncertainty is None:
        return ""
    return f"±{measured.uncertainty:.0f}"


def format_limits(limits: Limits | None) -> str:
    """Both limits or the one that there is, without their unit."""
    if limits is None:
        return "no limits"
    low = "" if limits.low is None else f"{limits.low:g}"
    high = "" if limits.high is None else f"{limits.high:g}"
    if low and high:
        return f"{low} to {high}".replace("-", "−")
    return (f"≥ {low}" if low else f"{'<' if limits.high_is_outside else '≤'} {high}").replace(
        "-", "−"
    )


def describe_population(limits: Limits, source: str) -> str:
    """Whose limits they are and where they come from, marked where the source was not seen."""
    mark = "" if limits.trust is Trust.SEEN else f" {UNCHECKED}"
    return f"{limits.population} ({source}){mark}"


def has_unchecked(measures: Iterable[Measured]) -> bool:
    """Whether any limit among them was not checked against its source."""
    return any(each.limits and each.limits.trust is not Trust.SEEN for each in measures)


def short_source(limits: Limits) -> str:
    """The short name at the head of the source."""
    return limits.source.split(",", maxsplit=1)[0]
