"""Where the electrodes go and how the skin is made ready: on the screen, on paper, read aloud."""

from __future__ import annotations

from typing import Literal

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse

from couchside.web.contexts.guide import GUIDED, find_placement, slug_of, view_guide
from couchside.web.lookup import SettingsHere
from couchside.web.rendering import render

router = APIRouter()


@router.get("/guide", include_in_schema=False)
def show_usual_placement() -> Response:
    """Lead to the placement that is used where nothing else is asked for."""
    return RedirectResponse(f"/guide/{slug_of(GUIDED[0])}", status_code=303)


@router.get("/guide/{placement}", include_in_schema=False)
def show_guide(
    request: Request, settings: SettingsHere, placement: str, size: Literal["", "large"] = ""
) -> Response:
    """One placement: drawings, the sites in words, skin; `size=large` is for reading aloud."""
    view = view_guide(find_placement(placement), settings.colour_code)
    return render(
        request,
        "guide.html",
        guide=view,
        code=settings.colour_code.value,
        is_large=size == "large",
    )
