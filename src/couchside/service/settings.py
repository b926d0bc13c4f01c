"""What the department has chosen once for everybody."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from couchside.recording import ColourCode
from couchside.service.desk import Desk


class PaperSize(StrEnum):
    """The sheets that pages are laid out for."""

    A4 = "A4"
    LETTER = "Letter"


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """The department's choices."""

    colour_code: ColourCode = ColourCode.IEC
    paper_size: PaperSize = PaperSize.A4


def get_settings(desk: Desk) -> Settings:
    """The choices that stand."""
    raise NotImplementedError


def change_settings(desk: Desk, settings: Settings) -> Settings:
    """Put other choices in their place."""
    raise NotImplementedError
