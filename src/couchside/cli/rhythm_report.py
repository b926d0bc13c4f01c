"""The rhythm, the QTc to quote and the tell-now list for a person at a terminal."""

from __future__ import annotations

from rich.console import Console
from rich.text import Text

from couchside.cli.consoles import say
from couchside.cli.plain_words import printable
from couchside.measures.model import Measures
from couchside.measures.rhythm_words import describe_groups, describe_rhythm
from couchside.measures.tell_now import TellNow

_MOST_NOTES = 5


def report_tell_now(console: Console, tell_now: TellNow | None) -> None:
    """What the protocol wants told, before anything else; and what it could not judge."""
    if tell_now is None:
        return
    for item in tell_now.items:
        say(console, Text(f"! {printable(item.sentence)}", style="bold"))
    for told in tell_now.not_judged:
        say(console, Text(f"Not judged by the protocol: {printable(told)}.", style="dim"))
    if tell_now.is_example and (tell_now.items or tell_now.not_judged):
        words = "The protocol's values are examples; put your department's own in their place."
        say(console, Text(words, style="dim"))


def report_rhythm(console: Console, measures: Measures) -> None:
    """RR intervals and beats that stand out, then which QTc to quote."""
    rhythm = measures.rhythm
    if rhythm is not None:
        say(console, Text(f"Rhythm: {printable(describe_rhythm(rhythm))}"), indent=4, hangs=True)
        groups = describe_groups(rhythm)
        if groups:
            say(console, Text(f"  {groups}"))
        for note in rhythm.notes[:_MOST_NOTES]:
            say(console, Text(f"  at {note.at_s:.1f} s: {note.words}"))
        if rhythm.note_count > _MOST_NOTES:
            say(console, Text(f"  and {rhythm.note_count - _MOST_NOTES} more beats that stand out"))
    if measures.qtc_choice is not None:
        say(console, Text(f"{printable(measures.qtc_choice.sentence)}."), indent=4, hangs=True)
