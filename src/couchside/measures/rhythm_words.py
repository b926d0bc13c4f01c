"""The rhythm of a recording in one line of words."""

from __future__ import annotations

from couchside.measures.clock import format_clock
from couchside.measures.rhythm_model import BeatGroup, Rhythm

_MOST_GROUPS = 3


def describe_rhythm(rhythm: Rhythm) -> str:
    """RR intervals in one line, with times in minutes and seconds of the recording."""
    if rhythm.mean_rr_ms is None or rhythm.shortest is None or rhythm.longest is None:
        return f"RR intervals not measurable: {rhythm.reason}"
    told = [
        f"{rhythm.beat_count} beats",
        f"mean RR {rhythm.mean_rr_ms:.0f} ms ({60_000 / rhythm.mean_rr_ms:.0f}/min)",
        f"shortest {rhythm.shortest.rr_ms:.0f} ms at {format_clock(rhythm.shortest.from_s, 1)}",
        f"longest {rhythm.longest.rr_ms:.0f} ms at {format_clock(rhythm.longest.from_s, 1)}",
        f"variation {100 * rhythm.variation:.0f} %" if rhythm.variation is not None else "",
        f"RMSSD {rhythm.rmssd_ms:.0f} ms" if rhythm.rmssd_ms is not None else "",
        f"RR of 2 s or more: {rhythm.pause_count}" if rhythm.pause_count else "",
        _describe_irregular(rhythm),
    ]
    return "  ·  ".join(part for part in told if part)


def describe_groups(rhythm: Rhythm) -> str:
    """How many beats have which shape; empty where all are alike."""
    if len(rhythm.groups) < 2:
        return ""
    told = [_describe_group(group) for group in rhythm.groups[:_MOST_GROUPS]]
    more = len(rhythm.groups) - len(told)
    listed = ", ".join([*told, f"{more} more"] if more else told)
    return f"{len(rhythm.groups)} groups of beats: {listed}"


def _describe_group(group: BeatGroup) -> str:
    qrs = "" if group.qrs_ms is None else f" (QRS {group.qrs_ms:.0f} ms)"
    return f"{group.count}{qrs}"


def _describe_irregular(rhythm: Rhythm) -> str:
    share = rhythm.irregular_share or 0.0
    return f"irregular around {100 * share:.0f} % of the beats" if share > 0 else ""
