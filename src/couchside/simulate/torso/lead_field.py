"""From the heart's dipole to the potential at any place on the torso.

The torso is taken for a ball after each axis has been scaled; the potential at the surface of an
even ball, of a dipole anywhere in it, has a closed form [WilsonBayley1950]. Place, axes and gains,
nine numbers, were fitted once to Dower's matrix and explain 98 % of its square. What is left at the
nine electrodes is spread over the skin around each of them, so that at the standard sites Dower's
matrix holds exactly and a few centimetres away the physics leads.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from couchside.recording import ELECTRODES, INDEPENDENT_LEADS, Electrode, get_lead_matrix
from couchside.simulate.torso.sites import STANDARD_SITES
from couchside.simulate.torso.surface import Site, point_on_torso

FloatArray = NDArray[np.float64]

DOWER = np.array(
    [
        [0.632, -0.235, 0.059],
        [0.235, 1.066, -0.132],
        [-0.515, 0.157, -0.917],
        [0.044, 0.164, -1.387],
        [0.882, 0.098, -1.277],
        [1.213, 0.127, -0.601],
        [1.125, 0.127, -0.086],
        [0.831, 0.076, 0.230],
    ]
)
"""Lead vectors of I, II, V1–V6 over Frank's x, y, z [Dower1980]."""

SOURCE_COUNT = 12
"""The dipole (3), and the dipole times its way from its usual place in the heart (3 × 3), in cm."""

HEART_AT_CM = np.array([3.14, 1.34, -5.37])
_BALL_AXES_CM = np.array([14.18, 15.0, 18.0])
_GAINS = np.array([0.213, 0.187, 0.225])

_RIGHT_LEG_LESS_LEFT_LEG = np.array([-0.040, -0.010, 0.005])
"""The legs are nearly one point for the heart; what is left between them [from memory]."""

_RESIDUAL_REACH_CM = 7.0
_STEP_CM = 0.5


def electrode_vectors(sites: dict[Electrode, Site]) -> FloatArray:
    """What each electrode sees of the heart.

    Parameters
    ----------
    sites : dict of Electrode to Site
        All ten.

    Returns
    -------
    array of shape (10, 12)
        Rows in the order of `ELECTRODES`, against the central terminal of the standard sites.
        Columns: µV per µV of dipole along x, y, z; then per µV of dipole and cm of its way, the way
        along x with the dipole along x, y, z, the way along y, the way along z.
    """
    points = np.array([point_on_torso(sites[electrode]) for electrode in ELECTRODES])
    vectors = np.hstack([_dipole_vectors(points), _moving_vectors(points)])
    if sites[Electrode.RL] == STANDARD_SITES[Electrode.RL]:
        right_leg, left_leg = ELECTRODES.index(Electrode.RL), ELECTRODES.index(Electrode.LL)
        vectors[right_leg] = vectors[left_leg]
        vectors[right_leg, :3] += _RIGHT_LEG_LESS_LEFT_LEG
    return vectors


@cache
def standard_lead_vectors() -> FloatArray:
    """Lead vectors of the twelve leads at the standard sites, shape (12, 12)."""
    vectors = get_lead_matrix() @ electrode_vectors(STANDARD_SITES)
    vectors.setflags(write=False)
    return vectors


def physical_lead_vectors(sites: dict[Electrode, Site]) -> FloatArray:
    """Lead vectors of I, II, V1–V6 by the physics alone, without what Dower's matrix adds.

    Returns
    -------
    array of shape (8, 3)
    """
    points = np.array([point_on_torso(sites[electrode]) for electrode in ELECTRODES])
    leads: FloatArray = get_lead_matrix(INDEPENDENT_LEADS) @ _torso_field(points, HEART_AT_CM)
    return leads


def _dipole_vectors(points: FloatArray) -> FloatArray:
    anchors, weights, central_terminal = _residual()
    physical = _torso_field(points, HEART_AT_CM) - central_terminal
    corrected: FloatArray = physical + _nearness(points, anchors) @ weights
    return corrected


def _moving_vectors(points: FloatArray) -> FloatArray:
    columns = []
    for way in np.eye(3) * _STEP_CM:
        there = _torso_field(points, HEART_AT_CM + way)
        back = _torso_field(points, HEART_AT_CM - way)
        columns.append((there - back) / (2.0 * _STEP_CM))
    return np.hstack(columns)


def _torso_field(points: FloatArray, heart_cm: FloatArray) -> FloatArray:
    """Vectors of a dipole at `heart_cm`, before a reference is chosen; (point, 3)."""
    scaled = points / _BALL_AXES_CM
    outward = scaled / np.sqrt((scaled**2).sum(axis=1, keepdims=True))
    field: FloatArray = ball_field(outward, heart_cm / _BALL_AXES_CM) * _GAINS
    return field


def ball_field(outward: FloatArray, inner: FloatArray) -> FloatArray:
    """What the surface of an even ball of radius 1 sees of a dipole in it.

    Parameters
    ----------
    outward : array of shape (point, 3)
        Places on the surface, of length 1.
    inner : array of shape (3,)
        Where the dipole is, shorter than 1.

    Returns
    -------
    array of shape (point, 3)
        Potential for each component of the dipole, in units of 1/(4πσ): the gradient by `inner` of
        2/d + ln 2 − ln(1 − outward·inner + d), d the distance between the two [WilsonBayley1950].
    """
    way = outward - inner
    distance = np.sqrt((way**2).sum(axis=1, keepdims=True))
    along = (outward * inner).sum(axis=1, keepdims=True)
    bounded = (outward + way / distance) / (1.0 - along + distance)
    field: FloatArray = 2.0 * way / distance**3 + bounded
    return field


@cache
def _residual() -> tuple[FloatArray, FloatArray, FloatArray]:
    """Anchors, weights and central terminal by which the standard sites obey Dower."""
    nine = [electrode for electrode in ELECTRODES if electrode is not Electrode.RL]
    anchors = np.array([point_on_torso(STANDARD_SITES[electrode]) for electrode in nine])
    physical = _torso_field(anchors, HEART_AT_CM)
    central_terminal = physical[:3].mean(axis=0)
    wanted = _nine_after_dower()
    weights = np.linalg.solve(_nearness(anchors, anchors), wanted - physical + central_terminal)
    return anchors, weights, central_terminal


def _nine_after_dower() -> FloatArray:
    right = -(DOWER[0] + DOWER[1]) / 3.0
    return np.vstack([right, right + DOWER[0], right + DOWER[1], DOWER[2:]])


def _nearness(points: FloatArray, anchors: FloatArray) -> FloatArray:
    squared = ((points[:, None, :] - anchors[None, :, :]) ** 2).sum(axis=2)
    near: FloatArray = np.exp(-squared / (2.0 * _RESIDUAL_REACH_CM**2))
    return near
