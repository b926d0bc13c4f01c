"""What is done before the electrodes go on, in order."""

from __future__ import annotations

PREPARATION: tuple[str, ...] = (
    "Explain, ask for consent, offer a chaperone; uncover only what is needed.",
    "Clean hands. Ask about allergy to plasters.",
    "The person lies at ease, warm, legs uncrossed, arms beside the body, not talking.",
    "Clip hair where an electrode goes, if the person agrees.",
    "Clean each site with soap and water or alcohol: no lotion, no sweat. Let it dry.",
    "Rub each site lightly with gauze until it is just pink; never broken or fragile skin.",
    "Take electrodes of one make, in date, their gel moist.",
    "Press each on from its rim, not on the gel. Let the cables hang without pull.",
    "Keep telephones and mains leads away from couch and cables.",
    "Wait for a steady baseline. Cure interference at its cause before any filter.",
)
"""Skin, person and room: common practice, from memory; local protocol goes first."""
