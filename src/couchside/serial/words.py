"""A comparison in words and in cells of a table, alike on screen, on paper and in a terminal."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.measures.names import SENTENCE_NAMES, TABLE_NAMES
from couchside.serial.model import Change, Comparison, Difference, Weight

_UNITS = {"deg": "°", "/min": "/min"}
_NO_CHANGE = "No measure changed by more than is usual between two days."


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeRow:
    """One measure in a table; `change` is empty where `note` says why there is none.

    `note` is else what the change amounts to.
    """

    name: str
    unit: str
    old: str
    new: str
    change: str
    uncertainty: str
    note: str
    is_notable: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadRow:
    """One lead in a table: how QRS, ST and T changed, in µV; a dash where it cannot be told.

    `notable` names those of the three that changed by more than is usual.
    """

    lead: str
    qrs: str
    st: str
    t: str
    notable: str


def summarise(comparison: Comparison) -> tuple[str, ...]:
    """The comparison in a few sentences, the weightiest first."""
    exchange = comparison.exchange
    told = []
    if exchange is not None and exchange.cables:
        of_which = "this recording" if exchange.now else "the earlier one"
        told.append(
            f"The {exchange.words} of {of_which} seem to be exchanged: put back, the two are much "
            "more alike."
        )
    told.append(comparison.same_heart.sentence)
    notable = [_say_change(each) for each in comparison.notable_changes]
    told.append(f"More than usual changed: {', '.join(notable)}." if notable else _NO_CHANGE)
    leads = [row for row in list_lead_rows(comparison) if row.notable]
    if leads:
        words = "; ".join(f"{row.lead} ({row.notable})" for row in leads)
        told.append(f"Leads that changed more than usual: {words}.")
    return tuple(told)


def say_in_one_line(comparison: Comparison) -> str:
    """The comparison as it is printed on the page of the new recording."""
    return f"Compared with the recording of {describe_when(comparison)}: {_weightiest(comparison)}"


def _weightiest(comparison: Comparison) -> str:
    if comparison.same_heart.prompts:
        return comparison.same_heart.sentence
    notable = [_say_change(each) for each in comparison.notable_changes]
    told = (
        f"more than usual changed {', '.join(notable)}"
        if notable
        else "no measure changed more than usual"
    )
    return f"{told}; not like for like." if comparison.unlike else f"{told}."


def list_change_rows(comparison: Comparison) -> tuple[ChangeRow, ...]:
    """Every compared measure in printing order."""
    return tuple(_row(change) for change in comparison.changes)


def list_lead_rows(comparison: Comparison) -> tuple[LeadRow, ...]:
    """Every common lead in the order of the recording."""
    rows = []
    for each in comparison.leads:
        parts = {"QRS": each.qrs, "ST": each.st, "T": each.t}
        notable = [name for name, part in parts.items() if part.weight is Weight.MORE]
        rows.append(
            LeadRow(
                lead=each.lead,
                qrs=_microvolts(each.qrs),
                st=_microvolts(each.st),
                t=_microvolts(each.t),
                notable=", ".join(notable),
            )
        )
    return tuple(rows)


def describe_when(comparison: Comparison) -> str:
    """When the earlier recording was taken, as far as it says."""
    start = comparison.old.recording.start
    return f"{start:%Y-%m-%d %H:%M}" if start else "time not stated"


def _row(change: Change) -> ChangeRow:
    return ChangeRow(
        name=TABLE_NAMES[change.name],
        unit=_UNITS.get(change.unit, change.unit),
        old=_value(change.old),
        new=_value(change.new),
        change="" if change.change is None else _signed(change.change),
        uncertainty="" if change.uncertainty is None else f"± {change.uncertainty:.0f}",
        note=change.reason or change.weight.value,
        is_notable=change.weight is Weight.MORE,
    )


def _say_change(change: Change) -> str:
    unit = _UNITS.get(change.unit, change.unit)
    joint = "" if unit.startswith(("/", "°")) else " "
    return f"{SENTENCE_NAMES[change.name]} by {_signed(change.change or 0.0)}{joint}{unit}"


def _value(value: float | None) -> str:
    return "–" if value is None else f"{value:.0f}".replace("-", "−")


def _microvolts(difference: Difference) -> str:
    return "–" if difference.change_uv is None else _signed(difference.change_uv)


def _signed(value: float) -> str:
    shown = f"{value:+.0f}"
    return "0" if float(shown) == 0 else shown.replace("-", "−")
