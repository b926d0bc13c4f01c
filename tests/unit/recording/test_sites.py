"""Every placement names ten sites, each with words, a source and its standing."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from couchside.recording import (
    CHEST_LEADS_AS_PLACED,
    ELECTRODES,
    PLACEMENT_NOTES,
    PREPARATION,
    SITE_FACTS,
    Electrode,
    Placement,
    Site,
    list_sites,
)

STATED = [each for each in Placement if each is not Placement.NOT_STATED]
REFERENCES = Path(__file__).parents[3] / "docs" / "references.md"


@pytest.mark.parametrize("placement", STATED)
def test_each_of_ten_electrodes_has_a_site_of_its_own(placement: Placement) -> None:
    sites = list_sites(placement)
    assert tuple(sites) == ELECTRODES
    assert len(set(sites.values())) == len(ELECTRODES)
    assert PLACEMENT_NOTES[placement]


@pytest.mark.parametrize("placement", STATED)
def test_the_chest_sites_are_those_of_the_leads_that_are_recorded(placement: Placement) -> None:
    chest = [site for electrode, site in list_sites(placement).items() if electrode.value[0] == "C"]
    assert tuple(site.value.split()[0] for site in chest) == CHEST_LEADS_AS_PLACED[placement]


def test_no_placement_has_no_sites() -> None:
    assert list_sites(Placement.NOT_STATED) == {}


def test_high_and_torso_move_what_they_say() -> None:
    usual, high = list_sites(Placement.STANDARD), list_sites(Placement.HIGH)
    assert {each for each in usual if usual[each] != high[each]} == {Electrode.C1, Electrode.C2}
    torso = list_sites(Placement.TORSO)
    assert {each for each in usual if usual[each] != torso[each]} == set(ELECTRODES[:4])


def test_every_statement_names_a_source_that_is_listed() -> None:
    listed = set(re.findall(r"^\| (\S+) \|", REFERENCES.read_text(encoding="utf-8"), re.MULTILINE))
    assert set(SITE_FACTS) == set(Site)
    sources = {facts.source for facts in SITE_FACTS.values()} | {
        note.source for notes in PLACEMENT_NOTES.values() for note in notes
    }
    assert sources - listed == {"common practice"}
    assert all(facts.where.endswith(".") for facts in SITE_FACTS.values())


def test_the_skin_is_made_ready_before_the_electrodes_go_on() -> None:
    places = [
        next(n for n, step in enumerate(PREPARATION) if step.startswith(first))
        for first in ("Explain", "Clip", "Clean each site", "Rub", "Press", "Wait")
    ]
    assert places == sorted(places)
