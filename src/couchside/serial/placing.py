"""Electrodes that sit elsewhere than in the person's earlier recording."""

from __future__ import annotations

from couchside.quality.displacement import Displacement, get_mixtures
from couchside.quality.misplacement import ChangeSince
from couchside.serial.arrangements import log_likelihoods_of_mixtures
from couchside.serial.shape import find_shape
from couchside.waves import RepresentativeBeat


def find_change_since(
    new: RepresentativeBeat | None, earlier: RepresentativeBeat | None, *, when: str
) -> ChangeSince | None:
    """How the leads changed, as each displacement of the new one's electrodes would change them.

    Parameters
    ----------
    new, earlier : RepresentativeBeat or None
        Of two recordings of one person.
    when : str
        Which recording the earlier one is, as a sentence names it.

    Returns
    -------
    ChangeSince or None
        None where one of the beats lacks QRS boundaries or one of the eight leads.
    """
    now, then = find_shape(new), find_shape(earlier)
    if now is None or then is None:
        return None
    likelihoods = log_likelihoods_of_mixtures(now, then, get_mixtures()).tolist()
    return ChangeSince(likelihoods=dict(zip(Displacement, likelihoods, strict=True)), when=when)
