"""Every word of the pages passes through the catalogue, and dates and numbers follow the locale.

A made-up language proves it: each message that the extraction finds comes back between ⟦ and ⟧, so
that a visible word outside them was never offered to a translator. It borrows the code of Esperanto
(`eo`), which Babel knows, for its dates and numbers.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from html.parser import HTMLParser
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.pofile import write_po
from fastapi.testclient import TestClient
from tests.unit.web.test_round_pages import STRANGER, Bring
from tools import messages

from couchside.errors import InvalidInput
from couchside.quality.model import Finding
from couchside.quality.wording import describe_row, say_hidden
from couchside.service import Desk, Settings, change_settings, list_round, open_recording
from couchside.web import translation
from couchside.web.translation import (
    CATALOGUE,
    choose_language,
    format_day,
    format_decimals,
    format_weekday,
    get_named_language,
    list_languages,
    localise,
    ngettext,
    speaking,
)

PSEUDO = "eo"
NEVER_TRANSLATED = {
    *("Couchside", "Quill", "Ada", "Nobody", "Known", "Ward", "Test", "Person", "T"),
    *(
        "SHA",
        "csv",
        "CSV",
        "recording",
        "SVG",
        "IEC",
        "AHA",
        "A4",
        "Hz",
        "mm",
        "mV",
        "ms",
        "kB",
        "µV",
    ),
    *(
        "s",
        "x",
        "Alt",
        "O",
        "P",
        "U",
        "K",
        "N",
        "A",
        "X",
        "G",
        "I",
        "B",
        "E",
        "Cabrera",
        "English",
        "Esperanto",
        "esperanto",
    ),
}
"""Names of people and things, units, keys and file names: the same in every language."""


@pytest.fixture
def pseudo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The made-up language, generated from what the extraction finds."""
    path = tmp_path / "locale" / PSEUDO / CATALOGUE
    path.parent.mkdir(parents=True)
    catalog = Catalog(locale=PSEUDO, domain="couchside", fuzzy=False)
    for message in messages.gather():
        if message.id:
            catalog.add(message.id, _bracket(message.id), flags=message.flags)
    with path.open("wb") as stream:
        write_po(stream, catalog)
    monkeypatch.setattr(translation, "LOCALE_FOLDER", tmp_path / "locale")
    get_named_language.cache_clear()
    yield
    get_named_language.cache_clear()


def _bracket(message: str | tuple[str, ...] | list[str]) -> str | tuple[str, ...]:
    if isinstance(message, str):
        return f"⟦{message}⟧"
    return tuple(f"⟦{each}⟧" for each in message)


PAGES = [
    "/round",
    "/round/end",
    "/print",
    "/tell-now",
    "/orders/new",
    "/upload",
    "/readiness",
    "/settings",
    "/help",
    "/nowhere",
]


@pytest.mark.usefixtures("pseudo", "order_id")
@pytest.mark.parametrize("path", PAGES)
def test_every_word_of_a_page_is_offered_for_translation(
    client: TestClient, desk: Desk, bring: Bring, path: str
) -> None:
    bring("mains-on-v3")
    bring(patient=STRANGER, name="other.csv")
    client.post("/upload", files={"files": ("recording.csv", b"dear colleague", "text/plain")})
    listed = list_round(desk)
    core = [text for each in listed.problems for text in (each.sentence, each.files[0].name)]
    core += [each.note for each in listed.unmatched]
    shown = [each.id for each in listed.unmatched]
    shown += [each.latest.recording_id for each in listed.entries if each.latest]
    core += [text for each in shown for text in list_core_sentences(desk, each)]
    assert list_untranslated(client, path, *core) == set()


@pytest.mark.usefixtures("pseudo")
def test_every_word_about_a_person_is_offered_for_translation(
    client: TestClient, order_id: int
) -> None:
    assert list_untranslated(client, f"/orders/{order_id}") == set()


@pytest.mark.usefixtures("pseudo", "order_id")
def test_every_word_about_a_recording_is_offered_for_translation(
    client: TestClient, desk: Desk, bring: Bring
) -> None:
    received = bring("mains-on-v3")
    assert received.recording is not None
    path = f"/recordings/{received.recording.id}"
    core = list_core_sentences(desk, received.recording.id)
    assert list_untranslated(client, path, *core) == set()


def test_the_template_for_translators_is_up_to_date() -> None:
    assert messages.main(["--check"]) == 0, "run python -m tools.messages"


def test_english_is_the_source_and_needs_no_catalogue() -> None:
    assert list_languages()[0] == "en"
    assert choose_language("", "tlh, x-klingon;q=0.5").code == "en"
    with pytest.raises(InvalidInput, match="there are no pages in 'tlh'"):
        get_named_language("tlh")


@pytest.mark.usefixtures("pseudo")
def test_the_department_s_choice_comes_before_the_browser_s() -> None:
    assert choose_language("", "eo;q=0.9, en;q=0.2").code == PSEUDO
    assert choose_language("", "eo;q=0, en").code == "en"
    assert choose_language("en", "eo").code == "en"


@pytest.mark.usefixtures("pseudo")
def test_a_page_names_its_language(client: TestClient, desk: Desk) -> None:
    assert '<html lang="en" dir="ltr">' in client.get("/help").text
    asked = client.get("/help", headers={"accept-language": "eo"}).text
    assert '<html lang="eo" dir="ltr">' in asked
    change_settings(desk, Settings(language=PSEUDO))
    assert '<html lang="eo" dir="ltr">' in client.get("/help").text


def test_a_language_that_is_not_there_is_refused(client: TestClient) -> None:
    form = {"colour_code": "IEC", "paper_size": "A4", "language": "tlh"}
    assert client.post("/settings", data=form).status_code == 422


@pytest.mark.usefixtures("pseudo")
def test_dates_and_numbers_follow_the_locale() -> None:
    day = date(2026, 3, 4)
    assert (format_weekday(day), format_day(day)) == ("Wednesday", "4 Mar 2026")
    assert (format_decimals(1.25, 1), localise("0.08")) == ("1.2", "0.08")
    with speaking(get_named_language(PSEUDO)):
        assert format_weekday(day) == "merkredo"
        assert "aŭg" in format_day(date(2026, 8, 4)).lower()
        assert (format_decimals(1234.5, 1), localise("0.08")) == ("1234,5", "0,08")
        assert ngettext("%(num)s person", "%(num)s people", 2) == "2 people"


def list_untranslated(client: TestClient, path: str, *core: str) -> set[str]:
    """Words on a page that stand outside every bracket and are no proper names or units."""
    text = client.get(path, headers={"accept-language": PSEUDO}).text
    visible = read_visible(text)
    for sentence in sorted(core, key=len, reverse=True):
        visible = visible.replace(sentence, " ")
    words = set(re.findall(r"[^\W\d_]+", strip_brackets(visible)))
    leads = {"I", "II", "III", "aVR", "aVL", "aVF", "V", "RA", "LA", "LL", "RL", "R", "L", "F", "C"}
    waves = {"P", "Q", "R", "S", "T", "J"}
    return words - NEVER_TRANSLATED - leads - waves - _date_words()


def _date_words() -> set[str]:
    with speaking(get_named_language(PSEUDO)):
        days = [date(2026, month, month) for month in range(1, 13)] + [
            date(2026, 3, day) for day in range(1, 8)
        ]
        said = " ".join(f"{format_day(day)} {format_weekday(day)}" for day in days)
    return set(re.findall(r"[^\W\d_]+", said))


def list_core_sentences(desk: Desk, recording_id: int) -> list[str]:
    """What the core says in English until its sentences are messages too (decision 0011)."""
    assessment = open_recording(desk, recording_id).assessment
    findings = [text for each in assessment.findings for text in list_sentences(each)]
    named = [name for each in assessment.findings for name in each.figures]
    figures = [part for name in named for part in (name, name.rpartition("_")[0])]
    figures = [each.replace("_", " ") for each in figures]
    measures = [text for each in assessment.measures for text in (each.reason, each.unit)]
    limits = [each.limits for each in assessment.measures if each.limits]
    measures += [text for each in limits for text in (each.population, each.source, each.trust)]
    digest = open_recording(desk, recording_id).summary.files[0].sha256
    version = assessment.code_version
    policy = assessment.policy
    rows = [policy.find_row_of(each) for each in assessment.findings] if policy else []
    findings += [describe_row(row) for row in rows] + ([policy.remark] if policy else [])
    texts = [*findings, *figures, *measures, digest, version]
    return [text for each in texts for text in (each, each.capitalize()) if text]


def list_sentences(finding: Finding) -> tuple[str, ...]:
    """What a finding says in sentences."""
    hidden = say_hidden(finding.hides)
    return (finding.sentence, finding.remedy, *finding.further_remedies, hidden)


def strip_brackets(text: str) -> str:
    """Text outside all brackets, which may stand within each other."""
    depth, outside = 0, []
    for character in text:
        depth += (character == "⟦") - (character == "⟧")
        outside.append(character if depth == 0 and character != "⟧" else " ")
    return "".join(outside)


def read_visible(page: str) -> str:
    """What a visitor sees or hears of a page."""
    reader = _VisibleText()
    reader.feed(page)
    return " ".join(reader.parts)


class _VisibleText(HTMLParser):
    """Gathers text, labels and alternatives; passes over scripts and styles."""

    def __init__(self) -> None:
        super().__init__()
        self.parts: list[str] = []
        self._hidden = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._hidden += tag in {"script", "style"}
        spoken = ("aria-label", "alt", "title", "placeholder")
        self.parts += [value for name, value in attrs if name in spoken and value]

    def handle_endtag(self, tag: str) -> None:
        self._hidden -= tag in {"script", "style"}

    def handle_data(self, data: str) -> None:
        if not self._hidden:
            self.parts.append(data)
