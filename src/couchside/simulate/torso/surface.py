"""Places on the torso: an upright cylinder of elliptic section, measured as hands measure it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

HALF_WIDTH_CM = 16.0
HALF_DEPTH_CM = 11.0
"""An adult chest of 86 cm round [from memory]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """A place on an adult torso.

    Parameters
    ----------
    around_deg : float
        0 is the front midline, 90 the left mid-axillary line, 180 the spine, −90 the right side.
    down_cm : float
        Below the fourth intercostal space at the front; negative is above it.
    """

    around_deg: float
    down_cm: float


def point_on_torso(site: Site) -> FloatArray:
    """Where a site lies, in cm along x (left), y (down), z (back), shape (3,)."""
    angle = np.deg2rad(site.around_deg)
    return np.array([HALF_WIDTH_CM * np.sin(angle), site.down_cm, -HALF_DEPTH_CM * np.cos(angle)])


def moved(site: Site, *, left_cm: float, down_cm: float) -> Site:
    """The site a few centimetres away along the skin.

    Parameters
    ----------
    site : Site
        From where.
    left_cm : float
        Towards the person's left over the front; negative is to the right.
    down_cm : float
        Towards the feet; negative is towards the head.
    """
    angle = np.deg2rad(site.around_deg)
    cm_per_radian = np.hypot(HALF_WIDTH_CM * np.cos(angle), HALF_DEPTH_CM * np.sin(angle))
    turned = site.around_deg + float(np.rad2deg(left_cm / cm_per_radian))
    return Site(around_deg=turned, down_cm=site.down_cm + down_cm)
