"""The shape of one person's beat: the mean loops, turned, scaled and bent as nobody else's."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.recording import Sex
from couchside.simulate.chance import Chance
from couchside.simulate.heart.growth import Usual
from couchside.simulate.heart.loops import (
    Loop,
    loop_through,
    path_through,
    turn_about_back,
    turn_about_feet,
    turn_about_left,
)
from couchside.simulate.heart.shapes import (
    ADULT_QRS_MV,
    ADULT_T_MV,
    CHILD_T_MV,
    EARLY_ST_MV,
    NEWBORN_QRS_MV,
    QRS_MOMENTS,
    QRS_WAY_CM,
    BeatShape,
    p_loop,
    st_loop,
    t_loop,
    u_loop,
)
from couchside.simulate.heart.state import Body, HeartState, Territory
from couchside.simulate.torso import standard_lead_vectors

FloatArray = NDArray[np.float64]

_STRAIN_FROM_SCALE = 1.3
_STRAIN = 0.24
_T_FOLLOWS_INJURY = 0.55
_TURNS_DEG = np.arange(-180.0, 180.0, 1.0)
_TERRITORY_DIRECTIONS = {
    Territory.ANTERIOR: (0.30, 0.05, -1.0),
    Territory.SEPTAL: (-0.30, -0.10, -1.0),
    Territory.LATERAL: (1.0, -0.35, 0.10),
    Territory.INFERIOR: (-0.20, 1.0, 0.05),
    Territory.POSTERIOR: (0.10, 0.15, 1.0),
    Territory.SUBENDOCARDIAL: (-0.80, -0.65, 0.45),
}
"""Where the injury vector points: at the wall, or away from it all round [from memory]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Anatomy:
    """A person's own beat, with what bundle branch blocks are built from.

    Parameters
    ----------
    shape : BeatShape
        The beat.
    qrs_points_mv : array of shape (10, 3)
        The points that its QRS loop goes through.
    t_mv : array of shape (3,)
        The dipole at the peak of its T.
    scale : float
        The person's voltage against the mean.
    """

    shape: BeatShape
    qrs_points_mv: FloatArray
    t_mv: FloatArray
    scale: float


def own_shape(
    body: Body, state: HeartState, usual: Usual, *, axis_deg: float, qrs_ms: float, day: Chance
) -> Anatomy:
    """The beat of one person on one day.

    Parameters
    ----------
    body, state, usual
        Who, what the scenario sets, what is usual at that age.
    axis_deg, qrs_ms : float
        Frontal axis of the QRS's net area, and its length over all leads.
    day : Chance
        The stream for what differs from day to day.
    """
    person = Chance(body.heart_seed, "shape")
    scale = float(np.exp(person.normal(0.0, 0.17) + day.normal(0.0, 0.05)))
    scale *= {Sex.FEMALE: 0.82, Sex.MALE: 0.95}.get(body.sex, 0.88)
    points = _own_qrs_points(person, usual) * scale * state.voltage_scale
    moments = _own_moments(person)
    points = _with_axis(moments, points, axis_deg)
    t_mv = _own_t(person, body, usual, day) * min(1.0, state.voltage_scale)
    t_mv = t_mv - _strain(state.voltage_scale) * _STRAIN * points[4]
    injury_mv = _injury(state)
    t_mv = t_mv + _T_FOLLOWS_INJURY * injury_mv
    early_st = EARLY_ST_MV * float(np.exp(person.normal(0.0, 0.6))) * (1.0 - usual.child_t_share)
    p_turn = turn_about_back(person.normal(0.0, 9.0)) @ turn_about_feet(person.normal(0.0, 10.0))
    shape = BeatShape(
        p=p_loop().turned(p_turn * float(np.exp(person.normal(0.0, 0.15)))),
        qrs=loop_through(moments, points),
        qrs_way=_qrs_way(moments),
        st=st_loop(early_st * min(1.0, state.voltage_scale) + injury_mv),
        t=t_loop(t_mv, person.uniform(0.57, 0.65)),
        u=u_loop().scaled(float(np.exp(person.normal(0.0, 0.5)))),
        qrs_ms=qrs_ms,
    )
    return Anatomy(shape=shape, qrs_points_mv=points, t_mv=t_mv, scale=scale)


def frontal_axis_deg(loop: Loop, way: Loop | None) -> float:
    """Axis of a wave's net area in I and aVF at the standard sites, in degrees.

    Parameters
    ----------
    loop : Loop
        The dipole.
    way : Loop or None
        Its way through the heart.
    """
    return float(_axes_deg(_areas(loop, way)[..., None])[0])


def _areas(loop: Loop, way: Loop | None) -> FloatArray:
    """Net areas of the dipole, and of the dipole times each part of its way; shape (4, 3)."""
    moments = np.linspace(0.0, 1.0, 101)
    dipole = loop.at(moments)
    parts = np.ones((4, len(moments)))
    parts[1:] = 0.0 if way is None else way.at(moments)
    areas: FloatArray = parts @ dipole.T
    return areas


def _axes_deg(areas: FloatArray) -> FloatArray:
    """Frontal axes of areas of shape (4, 3, case) in the leads I and aVF; shape (case,)."""
    vectors = standard_lead_vectors()[:2].reshape(2, 4, 3)
    first, second = (np.tensordot(vector, areas, axes=2) for vector in vectors)
    foot = (second - first / 2.0) * 2.0 / np.sqrt(3.0)
    axes: FloatArray = np.rad2deg(np.arctan2(foot, first))
    return axes


def _own_qrs_points(person: Chance, usual: Usual) -> FloatArray:
    share = usual.right_share
    points = (1.0 - share) * ADULT_QRS_MV + share * NEWBORN_QRS_MV
    inner = np.ones_like(points)
    inner[1:-1] += 0.10 * person.normals(24).reshape(8, 3)
    bent = points * inner
    bent[1:-1] += 0.025 * person.normals(24).reshape(8, 3)
    bent[6:8] += _late_notch(person)
    lie = turn_about_feet(person.normal(0.0, 9.0)) @ turn_about_left(person.normal(0.0, 7.0))
    turned: FloatArray = bent @ lie.T
    return turned


def _late_notch(person: Chance) -> FloatArray:
    """In about a third of people the end of the QRS is slurred or notched in some leads."""
    size = max(0.0, person.normal(-0.04, 0.09))
    direction = person.normals(3)
    notch: FloatArray = np.outer((0.6, -0.4), direction * size)
    return notch


def _own_moments(person: Chance) -> FloatArray:
    """The same course, with its parts a little longer or shorter."""
    steps = np.diff(QRS_MOMENTS) * (1.0 + 0.07 * np.clip(person.normals(9), -2.5, 2.5))
    moments = np.concatenate([[0.0], np.cumsum(steps)])
    course: FloatArray = moments / moments[-1]
    return course


def _with_axis(moments: FloatArray, points: FloatArray, axis_deg: float) -> FloatArray:
    """The points turned about the line from front to back until the axis is as wanted."""
    x, y, z = _areas(loop_through(moments, points), _qrs_way(moments)).T[..., None]
    cosine, sine = np.cos(np.deg2rad(_TURNS_DEG)), np.sin(np.deg2rad(_TURNS_DEG))
    turned = np.stack([x * cosine - y * sine, x * sine + y * cosine, z + 0.0 * cosine], axis=1)
    missing = (_axes_deg(turned) - axis_deg + 180.0) % 360.0 - 180.0
    best = int(np.abs(missing).argmin())
    own: FloatArray = points @ turn_about_back(float(_TURNS_DEG[best])).T
    return own


def _qrs_way(moments: FloatArray) -> Loop:
    return path_through(moments, QRS_WAY_CM)


def _own_t(person: Chance, body: Body, usual: Usual, day: Chance) -> FloatArray:
    share = usual.child_t_share
    mean = (1.0 - share) * ADULT_T_MV + share * CHILD_T_MV
    size = float(np.exp(person.normal(0.0, 0.22) + day.normal(0.0, 0.06)))
    size *= {Sex.FEMALE: 0.84, Sex.MALE: 1.10}.get(body.sex, 0.97)
    forward = {Sex.FEMALE: 0.045, Sex.MALE: -0.02}.get(body.sex, 0.0)
    turn = turn_about_feet(person.normal(0.0, 9.0)) @ turn_about_back(person.normal(0.0, 9.0))
    own: FloatArray = size * (turn @ (mean + np.array((0.0, 0.0, forward * (1.0 - share)))))
    return own


def _strain(voltage_scale: float) -> float:
    return float(np.clip((voltage_scale - _STRAIN_FROM_SCALE) / 0.6, 0.0, 1.0))


def _injury(state: HeartState) -> FloatArray:
    if state.st_territory is None:
        return np.zeros(3)
    direction = np.array(_TERRITORY_DIRECTIONS[state.st_territory])
    greatest = np.abs(standard_lead_vectors()[:, :3] @ direction).max()
    injury: FloatArray = direction * (state.st_shift_uv / 1000.0 / greatest)
    return injury
