"""Verdicts as they stand on a terminal: a word and a shape, and a colour only on top of them."""

from __future__ import annotations

from couchside.quality.model import Verdict

WORDS = {verdict: verdict.upper() for verdict in Verdict}
SHAPES = {
    Verdict.KEEP: "○",
    Verdict.KEEP_WITH_REMARK: "⚑",
    Verdict.RECORD_AGAIN: "↻",
}
STYLES = {
    Verdict.KEEP: "bold cyan",
    Verdict.KEEP_WITH_REMARK: "bold yellow",
    Verdict.RECORD_AGAIN: "bold magenta",
}
UNREADABLE_WORD = "NOT READ"
UNREADABLE_SHAPE = "×"
WIDEST_WORD = max(map(len, WORDS.values()))
