"""Each lead's waves and ST levels as rows of a table, in millivolts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from couchside.measures.amplitudes import ST_AFTER_J_MS
from couchside.measures.lead_model import LeadMeasures, WaveName

LEAD_HEADS = (
    *(wave.value for wave in WaveName),
    "J",
    *(f"+{after_ms}" for after_ms in ST_AFTER_J_MS if after_ms),
)
"""Over the numbers of a row: the waves, then ST at J and so many ms later."""

LEADS_NOTE = (
    "Heights of the representative beat's waves, then ST at J and 20, 40, 60 and 80 ms later, "
    "in mV; – where there is no such wave. A QS stands under Q."
)

_NONE = "–"


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadRow:
    """One lead: a number, or a dash, under each of `LEAD_HEADS`."""

    lead: str
    numbers: tuple[str, ...]


def list_lead_rows(leads: Sequence[LeadMeasures]) -> tuple[LeadRow, ...]:
    """Every lead that was measured, in the order of the recording.

    Parameters
    ----------
    leads : sequence of LeadMeasures
        From `Measures.leads`; heights and levels in µV.

    Returns
    -------
    tuple of LeadRow
        In mV with two decimals, a dash where there is no such wave or level.
    """
    return tuple(
        LeadRow(
            lead=str(each.lead),
            numbers=(
                *(_format(wave.amplitude_uv) for wave in each.waves),
                *(_format(level.level_uv) for level in each.st),
            ),
        )
        for each in leads
    )


def _format(microvolts: float | None) -> str:
    if microvolts is None:
        return _NONE
    shown = f"{microvolts / 1000.0:.2f}"
    return shown.removeprefix("-") if float(shown) == 0 else shown.replace("-", "−")
