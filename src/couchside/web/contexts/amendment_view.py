"""How a person's identity was corrected, in words."""

from __future__ import annotations

from dataclasses import dataclass

from couchside.service import Desk
from couchside.service.amending import list_changes
from couchside.service.summaries import Amendment
from couchside.web.translation import N_, translate
from couchside.web.translation import gettext as _
from couchside.web.wording import format_moment

_WHAT_WORDS = {
    "patient number": N_("Patient number"),
    "family name": N_("Family name"),
    "given name": N_("Given name"),
    "date of birth": N_("Date of birth"),
    "sex": N_("Sex"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class AmendmentView:
    """One correction: a line for each thing that was changed."""

    changes: tuple[str, ...]
    reason: str
    by: str


def view_amendments(desk: Desk, amendments: tuple[Amendment, ...]) -> tuple[AmendmentView, ...]:
    """Every correction, the newest first."""
    return tuple(_view_amendment(desk, each) for each in reversed(amendments))


def _view_amendment(desk: Desk, amendment: Amendment) -> AmendmentView:
    return AmendmentView(
        changes=tuple(
            _(
                "%(what)s: %(old)s became %(new)s",
                what=translate(_WHAT_WORDS[what]),
                old=_say(old),
                new=_say(new),
            )
            for what, old, new in list_changes(amendment)
        ),
        reason=amendment.reason,
        by=f"{amendment.who}, {format_moment(amendment.amended_at, desk.zone)}",
    )


def _say(value: str) -> str:
    return translate(value) if value else _("not stated")
