"""What the department has chosen once for everybody."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from enum import StrEnum

from sqlalchemy.orm import Session

from couchside.errors import InvalidInput
from couchside.paper.sizes import Layout, PaperSize
from couchside.recording import ColourCode
from couchside.service.desk import Desk
from couchside.service.trail import Deed, Subject, write_trail
from couchside.store.queries.trail import list_settings
from couchside.store.tables import SettingRow

_COLOUR_CODE = "colour_code"
_PAPER_SIZE = "paper_size"
_LANGUAGE = "language"
_PAGE_SET = "page_set"
_LOCK_AFTER_MINUTES = "lock_after_minutes"

LONGEST_BEFORE_LOCK_MINUTES = 720
"""A shift, after which a sign-in ends anyway."""


class PrintedPart(StrEnum):
    """What is printed of one recording; the tracing brings measures and findings with it."""

    THREE_BY_FOUR = Layout.THREE_BY_FOUR_AND_ONE.value
    SIX_BY_TWO = Layout.SIX_BY_TWO.value
    TWELVE_BY_ONE = Layout.TWELVE_BY_ONE.value
    EVIDENCE = "evidence"
    STRIP = "strip"
    COMPARISON = "comparison"


TRACINGS = frozenset({PrintedPart.THREE_BY_FOUR, PrintedPart.SIX_BY_TWO, PrintedPart.TWELVE_BY_ONE})
"""One of these belongs to every print: a strip or a comparison alone would hide the rest."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """The department's choices; an empty language is the one that each browser asks for.

    `page_set` is what is printed of each recording, in this order, where nothing else is asked for.
    A browser on which nobody has had a hand for `lock_after_minutes` is locked.
    """

    colour_code: ColourCode = ColourCode.IEC
    paper_size: PaperSize = PaperSize.A4
    language: str = ""
    page_set: tuple[PrintedPart, ...] = (PrintedPart.THREE_BY_FOUR,)
    lock_after_minutes: int = 10

    @property
    def lock_after(self) -> timedelta:
        """The same as a length of time."""
        return timedelta(minutes=self.lock_after_minutes)


def get_settings(desk: Desk) -> Settings:
    """The choices that stand."""
    with desk.store.reading() as session:
        return load_settings(session)


def change_settings(desk: Desk, settings: Settings) -> Settings:
    """Put other choices in their place; the trail names what was changed from what to what.

    Raises InvalidInput where no tracing would be printed, or a lock would come at no such time.
    """
    if not TRACINGS & set(settings.page_set):
        raise InvalidInput("no tracing is chosen to be printed; choose at least one layout")
    if not 1 <= settings.lock_after_minutes <= LONGEST_BEFORE_LOCK_MINUTES:
        raise InvalidInput(
            f"{settings.lock_after_minutes} minutes before a browser is locked; "
            f"choose 1 to {LONGEST_BEFORE_LOCK_MINUTES}"
        )
    with desk.store.writing() as session:
        before, after = _encode(load_settings(session)), _encode(settings)
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


def load_settings(session: Session) -> Settings:
    """The choices that stand, in a transaction that is under way."""
    rows = list_settings(session)
    chosen = _encode(Settings()) | {name: row.value for name, row in rows.items()}
    return Settings(
        colour_code=ColourCode(chosen[_COLOUR_CODE]),
        paper_size=PaperSize(chosen[_PAPER_SIZE]),
        language=chosen[_LANGUAGE],
        page_set=tuple(map(PrintedPart, chosen[_PAGE_SET].split(","))),
        lock_after_minutes=int(chosen[_LOCK_AFTER_MINUTES]),
    )


def _encode(settings: Settings) -> dict[str, str]:
    return {
        _COLOUR_CODE: settings.colour_code.value,
        _PAPER_SIZE: settings.paper_size.value,
        _LANGUAGE: settings.language,
        _PAGE_SET: ",".join(part.value for part in PrintedPart if part in settings.page_set),
        _LOCK_AFTER_MINUTES: str(settings.lock_after_minutes),
    }
