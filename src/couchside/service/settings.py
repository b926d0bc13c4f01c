"""What the department has chosen once for everybody."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy.orm import Session

from couchside.paper.sizes import PaperSize
from couchside.recording import ColourCode
from couchside.service.desk import Desk
from couchside.service.trail import Deed, Subject, write_trail
from couchside.store.queries.trail import list_settings
from couchside.store.tables import SettingRow

_COLOUR_CODE = "colour_code"
_PAPER_SIZE = "paper_size"
_LANGUAGE = "language"


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """The department's choices; an empty language is the one that each browser asks for."""

    colour_code: ColourCode = ColourCode.IEC
    paper_size: PaperSize = PaperSize.A4
    language: str = ""


def get_settings(desk: Desk) -> Settings:
    """The choices that stand."""
    with desk.store.reading() as session:
        return _load(session)


def change_settings(desk: Desk, settings: Settings) -> Settings:
    """Put other choices in their place; the trail names what was changed from what to what."""
    with desk.store.writing() as session:
        before, after = _encode(_load(session)), _encode(settings)
        for name in (name for name in after if after[name] != before[name]):
            session.merge(
                SettingRow(name=name, value=after[name], changed_at=desk.now(), changed_by=desk.who)
            )
            write_trail(
                session,
                desk,
                Deed.SETTINGS_CHANGED,
                subject=Subject.SETTINGS,
                subject_id=name,
                detail={"from": before[name], "to": after[name]},
            )
    return settings


def _load(session: Session) -> Settings:
    rows = list_settings(session)
    chosen = _encode(Settings()) | {name: row.value for name, row in rows.items()}
    return Settings(
        colour_code=ColourCode(chosen[_COLOUR_CODE]),
        paper_size=PaperSize(chosen[_PAPER_SIZE]),
        language=chosen[_LANGUAGE],
    )


def _encode(settings: Settings) -> dict[str, str]:
    return {
        _COLOUR_CODE: settings.colour_code.value,
        _PAPER_SIZE: settings.paper_size.value,
        _LANGUAGE: settings.language,
    }
