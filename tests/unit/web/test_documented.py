"""Every address and key that the pages have is written down in docs/pages.md."""

from __future__ import annotations

import re
from pathlib import Path

from fastapi.routing import APIRoute

import couchside.web
from couchside.web.app import ROUTERS

PAGE = Path(__file__).parents[3] / "docs" / "pages.md"
TEMPLATES = Path(couchside.web.__file__).parent / "templates"
CONTEXTS = Path(couchside.web.__file__).parent / "contexts"


def test_every_address_is_documented() -> None:
    text = PAGE.read_text(encoding="utf-8")
    assert len(list_addresses()) > 15
    assert {each for each in list_addresses() if f"`{each}" not in text} == set()


def test_every_documented_address_is_there() -> None:
    text = PAGE.read_text(encoding="utf-8")
    named = {each.partition("?")[0] for each in re.findall(r"`(/[^` ]*)`", text)}
    assert named - list_addresses() == {"/api/", "/api/openapi.json"}


def test_every_key_is_documented() -> None:
    text = PAGE.read_text(encoding="utf-8")
    offered = {
        key.upper()
        for template in TEMPLATES.glob("*.html")
        for key in re.findall(r'accesskey="(\w)"', template.read_text(encoding="utf-8"))
    } | {
        key.upper()
        for context in CONTEXTS.glob("*_form.py")
        for key in re.findall(r'key="(\w)"', context.read_text(encoding="utf-8"))
    }
    assert offered == set(re.findall(r"^\| [a-z, ]+ \| (\w) \|", text, re.MULTILINE))


def list_addresses() -> set[str]:
    return {
        route.path for router in ROUTERS for route in router.routes if isinstance(route, APIRoute)
    }
