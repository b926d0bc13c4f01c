"""The words of the pages in the visitor's language, and dates and numbers by its customs.

English is the source: what has no translation stays English. A catalogue is a text file,
`locale/<language>/LC_MESSAGES/couchside.po`, read as it is; adding a language is adding that file.
"""

from __future__ import annotations

import gettext as standard_gettext
import io
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from datetime import date, datetime
from functools import cache
from pathlib import Path

from babel import Locale, negotiate_locale
from babel.dates import format_skeleton, format_time, get_day_names
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from babel.numbers import format_decimal, format_percent, get_decimal_symbol
from fastapi import Request
from starlette.datastructures import Headers
from starlette.types import ASGIApp, Receive, Scope, Send

from couchside.errors import InvalidInput
from couchside.web.moments import get_moment

SOURCE_LANGUAGE = "en"
LOCALE_FOLDER = Path(__file__).parents[1] / "locale"
CATALOGUE = Path("LC_MESSAGES") / "couchside.po"

_SOURCE_LOCALE = Locale("en", "GB")
"""The source's own customs: the day before the month, and the month in letters."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Language:
    """One language in which the pages can be shown."""

    code: str
    locale: Locale
    translations: standard_gettext.NullTranslations

    @property
    def name(self) -> str:
        """What its speakers call it."""
        return str(self.locale.get_language_name() or self.code)

    @property
    def direction(self) -> str:
        """``"ltr"`` or ``"rtl"``, as the page's `dir` wants it."""
        return self.locale.text_direction


_ENGLISH = Language(
    code=SOURCE_LANGUAGE,
    locale=_SOURCE_LOCALE,
    translations=standard_gettext.NullTranslations(),
)
_spoken: ContextVar[Language] = ContextVar("spoken", default=_ENGLISH)


def gettext(message: str, /, **values: object) -> str:
    """A message in the visitor's language, with values put in; a per cent sign is written twice."""
    return translate(message) % values


def ngettext(one: str, many: str, count: int, /, **values: object) -> str:
    """One or the other message, by the count and the language's own rule of plurals."""
    return translate_plural(one, many, count) % {"num": count, **values}


def N_(message: str) -> str:  # noqa: N802 (the name that gettext's tools look for)
    """Mark a message to be gathered; it is translated where it is shown."""
    return message


def translate(message: str) -> str:
    """A message or a word of the core as it stands, in the visitor's language."""
    return _spoken.get().translations.gettext(message) if message else ""


def translate_plural(one: str, many: str, count: int) -> str:
    """One or the other message as it stands, by the count and the language's rule of plurals."""
    return _spoken.get().translations.ngettext(one, many, count)


def get_language() -> Language:
    """The language that is spoken now."""
    return _spoken.get()


@contextmanager
def speaking(language: Language) -> Iterator[None]:
    """Speak a language until the end of the block."""
    token = _spoken.set(language)
    try:
        yield
    finally:
        _spoken.reset(token)


def list_languages() -> tuple[str, ...]:
    """Codes of the languages that have a catalogue, the source first."""
    translated = sorted(each.parents[1].name for each in LOCALE_FOLDER.glob(f"*/{CATALOGUE}"))
    return (SOURCE_LANGUAGE, *translated)


@cache
def get_named_language(code: str) -> Language:
    """The language of a code; raises InvalidInput where there is no catalogue of it."""
    if code == SOURCE_LANGUAGE:
        return _ENGLISH
    if code not in list_languages():
        raise InvalidInput(
            f"there are no pages in {code!r}; choose one of {', '.join(list_languages())}"
        )
    return Language(
        code=code,
        locale=Locale.parse(code),
        translations=_read_catalogue(LOCALE_FOLDER / code / CATALOGUE),
    )


def choose_language(chosen: str, accepted: str) -> Language:
    """The department's choice, else the first language that the browser asks for and is there."""
    known = list_languages()
    if chosen in known:
        return get_named_language(chosen)
    return get_named_language(
        negotiate_locale(_list_accepted(accepted), known, sep="-") or SOURCE_LANGUAGE
    )


class Languages:
    """Has each request answered in its visitor's language."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Choose the language, then let the request through."""
        if scope["type"] != "http" or scope["path"].startswith(("/static/", "/api/")):
            await self.app(scope, receive, send)
            return
        accepted = Headers(scope=scope).get("accept-language", "")
        with speaking(choose_language(get_moment(Request(scope)).settings.language, accepted)):
            await self.app(scope, receive, send)


def format_day(day: date) -> str:
    """A day with its month in letters, so that it cannot be misread: ``"4 Mar 1957"``."""
    return format_skeleton("yMMMd", day, locale=_spoken.get().locale)


def format_weekday(day: date) -> str:
    """``"Monday"``."""
    return str(get_day_names("wide", locale=_spoken.get().locale)[day.weekday()])


def format_clock_time(moment: datetime, pattern: str = "HH:mm") -> str:
    """A time of day on the 24-hour clock, as a hospital tells it everywhere."""
    return format_time(moment.time(), pattern, locale=_spoken.get().locale)


def format_decimals(value: float, decimals: int) -> str:
    """A number with so many decimals and the language's own decimal sign, without grouping."""
    pattern = "0." + "0" * decimals if decimals else "0"
    return format_decimal(value, pattern, locale=_spoken.get().locale)


def format_share(share: float) -> str:
    """A part of one, in whole per cent."""
    return format_percent(share, locale=_spoken.get().locale)


def localise(number: str) -> str:
    """A number that the core has rounded and written, with the language's own decimal sign."""
    return number.replace(".", get_decimal_symbol(_spoken.get().locale))


def _read_catalogue(path: Path) -> standard_gettext.GNUTranslations:
    with path.open("rb") as stream:
        catalogue = read_po(stream)
    compiled = io.BytesIO()
    write_mo(compiled, catalogue)
    compiled.seek(0)
    return standard_gettext.GNUTranslations(compiled)


def _list_accepted(header: str) -> list[str]:
    """Languages of an Accept-Language header, most wanted first [RFC9110 12.5.4]."""
    wanted = [_weigh(part) for part in header.split(",") if part.strip()]
    wanted.sort(key=lambda pair: -pair[0])
    return [code for weight, code in wanted if weight > 0]


def _weigh(part: str) -> tuple[float, str]:
    code, _, rest = part.strip().partition(";")
    weight = rest.strip().removeprefix("q=") or "1"
    try:
        return float(weight), code.strip()
    except ValueError:
        return 0.0, code.strip()
