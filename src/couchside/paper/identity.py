"""Who was recorded and when, in as many lines as it takes: a name or a number is never cut."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from couchside.paper.frames import IDENTITY_MM
from couchside.paper.model import Box, Mark, Text, printable
from couchside.paper.typeface import width_mm, wrap
from couchside.paper.wording import describe_identity, describe_start
from couchside.recording import Patient

_NAME_SIZES_MM = (4.8, 4.2, 3.6, 3.1, 2.7)
_FACT_SIZE_MM = 2.9
_FACT_LINE_MM = 3.34
_JOINT = "  ·  "
_ONE_NAME_LINE_MM = 4.2
_MORE_NAME_LINES_MM = 2.9
_BELOW_MM = 1.9


@dataclass(frozen=True, slots=True, kw_only=True)
class IdentityBlock:
    """Lines of a name and of the facts under it, and the height that they need.

    Parameters
    ----------
    names, facts : tuple of str
        At least one line each.
    name_size_mm : float
        Size of the name's type.
    height_mm : float
        At least that of a usual header.
    """

    names: tuple[str, ...]
    facts: tuple[str, ...]
    name_size_mm: float
    height_mm: float

    @property
    def first_mm(self) -> float:
        """How far under the upper edge the first baseline stands."""
        return _ONE_NAME_LINE_MM if len(self.names) == 1 else _MORE_NAME_LINES_MM


def lay_out_identity(patient: Patient, start: datetime | None, room_mm: float) -> IdentityBlock:
    """The name in the largest size that holds it in one line, else in more lines; then the rest."""
    name = printable(patient.full_name) or "name not stated"
    size = next(
        (each for each in _NAME_SIZES_MM if width_mm(name, each, bold=True) <= room_mm),
        _NAME_SIZES_MM[-1],
    )
    names = wrap(name.split(" "), room_mm, size, bold=True)
    told = [*describe_identity(patient, start), describe_start(start)]
    facts = wrap([printable(fact) for fact in told], room_mm, _FACT_SIZE_MM, joint=_JOINT)
    first = _ONE_NAME_LINE_MM if len(names) == 1 else _MORE_NAME_LINES_MM
    name_end = first + (len(names) - 1) * size * 1.15 + size * 0.2
    facts_mm = _FACT_SIZE_MM * 0.75 + (len(facts) - 1) * _FACT_LINE_MM + _BELOW_MM
    return IdentityBlock(
        names=tuple(names),
        facts=tuple(facts),
        name_size_mm=size,
        height_mm=max(IDENTITY_MM, name_end + facts_mm),
    )


def make_identity(block: IdentityBlock, box: Box) -> list[Mark]:
    """Who was recorded, and when, at the left of the header."""
    size = block.name_size_mm
    marks: list[Mark] = [
        Text(
            x_mm=box.left_mm,
            y_mm=box.top_mm + block.first_mm + index * size * 1.15,
            content=name,
            size_mm=size,
            bold=True,
        )
        for index, name in enumerate(block.names)
    ]
    for index, line in enumerate(reversed(block.facts)):
        y = box.bottom_mm - _BELOW_MM - index * _FACT_LINE_MM
        marks.append(Text(x_mm=box.left_mm, y_mm=y, content=line, size_mm=_FACT_SIZE_MM))
    return marks
