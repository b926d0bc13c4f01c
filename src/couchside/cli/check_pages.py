"""The page to scale of one recording that was checked, with its evidence where that is wanted."""

from __future__ import annotations

from couchside.cli.check_wish import CheckWish
from couchside.cli.examine import Checked


def make_pdf(checked: Checked, wish: CheckWish) -> bytes:
    """The PDF that `--pdf` asks for."""
    from couchside.paper import Pages, render, render_evidence  # noqa: PLC0415 - not always wanted

    recording, assessment = checked.recording, checked.assessment
    page = render(recording, assessment, paper=wish.paper)
    evidence = (
        render_evidence(recording, assessment, paper=wish.paper) if wish.has_evidence else None
    )
    return Pages(pages=(page, *(evidence.pages if evidence is not None else ()))).pdf()
