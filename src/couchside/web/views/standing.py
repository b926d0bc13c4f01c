"""Pages that stand beside the work: settings and help."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import RedirectResponse

from couchside.recording import ELECTRODES, ColourCode
from couchside.service import PaperSize, change_settings
from couchside.service.accounts import Right
from couchside.service.settings import LONGEST_BEFORE_LOCK_MINUTES, PrintedPart
from couchside.web.admission import require
from couchside.web.contexts.electrode_view import make_cable, make_electrode_map
from couchside.web.lookup import DeskHere, SettingsHere
from couchside.web.rendering import render
from couchside.web.translation import get_named_language, list_languages
from couchside.web.wording import PAPER_WORDS, PART_WORDS, list_words

router = APIRouter(include_in_schema=False)


@router.get("/settings")
def show_settings(request: Request, settings: SettingsHere, saved: str = "") -> Response:
    """The department's choices."""
    cables = {code: [make_cable(each, code) for each in ELECTRODES] for code in ColourCode}
    return render(
        request,
        "settings.html",
        settings=settings,
        cables=cables,
        papers=list_words(PAPER_WORDS),
        parts=list_words(PART_WORDS),
        languages=tuple(map(get_named_language, list_languages())),
        longest_before_lock=LONGEST_BEFORE_LOCK_MINUTES,
        was_saved=saved == "yes",
    )


@router.post("/settings", dependencies=[require(Right.CHOOSE)])
def save_settings(
    *,
    desk: DeskHere,
    standing: SettingsHere,
    colour_code: Annotated[ColourCode, Form()],
    paper_size: Annotated[PaperSize, Form()],
    language: Annotated[str, Form()] = "",
    lock_after_minutes: Annotated[int | None, Form()] = None,
) -> Response:
    """Put other choices in their place; what a form leaves out stays as it is."""
    if language:
        get_named_language(language)
    change_settings(
        desk,
        replace(
            standing,
            colour_code=colour_code,
            paper_size=paper_size,
            language=language,
            lock_after_minutes=standing.lock_after_minutes
            if lock_after_minutes is None
            else lock_after_minutes,
        ),
    )
    return RedirectResponse("/settings?saved=yes", status_code=303)


@router.post("/settings/pages", dependencies=[require(Right.CHOOSE)])
def save_page_set(
    desk: DeskHere,
    standing: SettingsHere,
    page_set: Annotated[list[PrintedPart], Form(default_factory=list)],
) -> Response:
    """Choose what is printed of each recording."""
    change_settings(desk, replace(standing, page_set=tuple(page_set)))
    return RedirectResponse("/settings?saved=yes", status_code=303)


@router.get("/help")
def show_help(request: Request, settings: SettingsHere) -> Response:
    """How the pages work, by hand and by keyboard, and the cautions."""
    return render(request, "help.html", map=make_electrode_map((), settings.colour_code))
