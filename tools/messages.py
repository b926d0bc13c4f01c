"""Gather what the pages say into `src/couchside/locale/couchside.pot`, for translators.

`python -m tools.messages` writes the template and brings every catalogue beside it up to date;
`--check` only says whether the template is out of date; `--add de` begins a catalogue.
"""

from __future__ import annotations

import argparse
import io
import sys
from collections.abc import Iterator
from datetime import UTC, datetime
from enum import StrEnum
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import read_po, write_po

from couchside.measures.lead_words import LEADS_NOTE
from couchside.measures.model import Standing
from couchside.measures.names import TABLE_NAMES
from couchside.quality.model import FindingKind, Verdict
from couchside.recording import (
    CABLE_MARKS,
    PLACEMENT_NOTES,
    PREPARATION,
    SITE_FACTS,
    SITES,
    Placement,
    Position,
    Sex,
    Site,
    Trust,
)
from couchside.serial import Weight
from couchside.service import Condition, Identifier, OpenKind, Outcome, State
from couchside.web.contexts.guide.outlines import View
from couchside.web.translation import CATALOGUE, LOCALE_FOLDER

PACKAGE = Path(__file__).parents[1] / "src" / "couchside"
TEMPLATE = LOCALE_FOLDER / "couchside.pot"
ROOTS = ("web",)
"""What speaks to a person in the browser; sentences of the core follow, see decision 0011."""

METHODS = [("**/templates/**.html", "jinja2"), ("**.py", "python")]
OPTIONS = {
    "**/templates/**.html": {"trim_blocks": "true", "lstrip_blocks": "true", "silent": "false"}
}
KEYWORDS = {"_": None, "N_": None, "ngettext": (1, 2)}
CORE_WORDS: tuple[type[StrEnum], ...] = (
    Verdict,
    FindingKind,
    State,
    Placement,
    Position,
    Condition,
    Site,
    Trust,
    View,
    Identifier,
    OpenKind,
    Sex,
    Standing,
    Outcome,
    Weight,
)
"""Closed sets of the core that the pages show word by word."""


def main(arguments: list[str]) -> int:
    """Write the template and the catalogues, or say whether they are out of date."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--check", action="store_true")
    parser.add_argument("--add", metavar="LANGUAGE", default="")
    chosen = parser.parse_args(arguments)
    template = gather()
    if chosen.check:
        return _check(template)
    TEMPLATE.parent.mkdir(parents=True, exist_ok=True)
    TEMPLATE.write_bytes(write_template(template))
    if chosen.add:
        _begin(template, chosen.add)
    for path in sorted(LOCALE_FOLDER.glob(f"*/{CATALOGUE}")):
        _bring_up_to_date(path, template)
    return 0


def gather() -> Catalog:
    """Every message of the pages, and every word of the core that they show."""
    catalog = _make_catalog()
    for root in ROOTS:
        for name, _line, message, comments, context in extract_from_dir(
            PACKAGE / root,
            method_map=METHODS,
            options_map=OPTIONS,
            keywords=KEYWORDS,
            comment_tags=("Translators:",),
        ):
            place = [(f"{root}/{name}", 1)]
            catalog.add(message, locations=place, auto_comments=comments, context=context)
    for word in _list_core_words():
        catalog.add(word, locations=[("core", 1)])
    return catalog


def write_template(catalog: Catalog) -> bytes:
    """The template as text, the same whenever the messages are the same."""
    stream = io.BytesIO()
    write_po(stream, catalog, sort_output=True, width=100, include_lineno=False)
    return stream.getvalue()


def _make_catalog() -> Catalog:
    catalog = Catalog(
        domain="couchside",
        project="Couchside",
        version="",
        msgid_bugs_address="",
        last_translator="",
        language_team="",
        copyright_holder="the Couchside authors",
        charset="utf-8",
        creation_date=datetime(2026, 1, 1, tzinfo=UTC),
        revision_date=datetime(2026, 1, 1, tzinfo=UTC),
    )
    catalog.header_comment = (
        "# What the pages of Couchside say. Made by `python -m tools.messages`."
    )
    return catalog


def _list_core_words() -> Iterator[str]:
    for words in CORE_WORDS:
        yield from (word.value for word in words)
    yield from SITES.values()
    yield from TABLE_NAMES.values()
    yield LEADS_NOTE
    yield from _list_guide_words()
    for marks in CABLE_MARKS.values():
        for mark in marks.values():
            yield from mark.colours


def _list_guide_words() -> Iterator[str]:
    yield from PREPARATION
    for facts in SITE_FACTS.values():
        yield from (words for words in (facts.where, facts.find, facts.source) if words)
    for notes in PLACEMENT_NOTES.values():
        yield from (note.words for note in notes)


def _check(template: Catalog) -> int:
    known = TEMPLATE.read_bytes() if TEMPLATE.exists() else b""
    if known == write_template(template):
        return 0
    sys.stderr.write(f"{TEMPLATE} is out of date; run python -m tools.messages\n")
    return 1


def _begin(template: Catalog, language: str) -> None:
    path = LOCALE_FOLDER / language / CATALOGUE
    path.parent.mkdir(parents=True, exist_ok=True)
    if not path.exists():
        catalog = Catalog(locale=language, domain="couchside", fuzzy=False)
        catalog.update(template)
        _write(path, catalog)


def _bring_up_to_date(path: Path, template: Catalog) -> None:
    with path.open("rb") as stream:
        catalog = read_po(stream, locale=path.parents[1].name)
    catalog.update(template, no_fuzzy_matching=True)
    _write(path, catalog)


def _write(path: Path, catalog: Catalog) -> None:
    with path.open("wb") as stream:
        write_po(stream, catalog, sort_output=True, width=100, include_lineno=False)


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
