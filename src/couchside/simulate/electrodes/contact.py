"""Ten electrodes on the skin: half-cell potentials, impedances, and the mains they let in.

A wire hanging in the room carries a displacement current of a fraction of a nanoampere, which drops
over the electrode's impedance: 1 nA over 1 kΩ is 1 µV. The body as a whole is lifted against the
recorder by its own current through the right-leg electrode; what of it the recorder sees depends on
each electrode's impedance against the input's [HuhtaWebster1973, from memory].
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.errors import InvalidInput
from couchside.recording import ELECTRODES, Electrode
from couchside.simulate.chance import Chance
from couchside.simulate.electrodes.mains import mains_wave

FloatArray = NDArray[np.float64]

USUAL_KOHM = 6.0
_USUAL_LOG_SD = 0.45
_USUAL_OFFSET_MV = 12.0
_BODY_CURRENT_NA = 90.0
_DRIVEN_LEG_HELP = 30.0
_INPUT_KOHM = 60_000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """How one electrode sits on the skin.

    Parameters
    ----------
    electrode : Electrode
        Which.
    impedance_kohm : float
        At the mains frequency; a good one has a few kΩ, a dry one hundreds.
    offset_mv : float
        Half-cell potential.
    drift_uv_per_s : float
        How fast it creeps.
    """

    electrode: Electrode
    impedance_kohm: float = USUAL_KOHM
    offset_mv: float = 0.0
    drift_uv_per_s: float = 0.0

    def __post_init__(self) -> None:
        if not 0.0 <= self.impedance_kohm <= 100_000.0:
            raise InvalidInput(
                f"an impedance of {self.impedance_kohm} kΩ at {self.electrode}; "
                "give 0 to 100,000 kΩ"
            )


def contacts_uv(
    contacts: tuple[Contact, ...],
    *,
    seconds: FloatArray,
    rate_hz: float,
    mains_hz: float,
    wire_current_na: float,
    chance: Chance,
) -> FloatArray:
    """Offsets, drifts and mains of the ten electrodes.

    Parameters
    ----------
    contacts : tuple of Contact
        Those that are not as usual; the others are drawn.
    seconds : array of shape (sample,)
        Moments.
    rate_hz : float
        Samples per second.
    mains_hz : float
        The mains, which need not be exactly nominal.
    wire_current_na : float
        Displacement current into each wire.
    chance : Chance
        The stream for the contacts.

    Returns
    -------
    array of shape (electrode, sample)
        In µV, in the order of `ELECTRODES`.
    """
    count = len(ELECTRODES)
    kohm = USUAL_KOHM * np.exp(_USUAL_LOG_SD * chance.normals(count))
    offset_uv = 1000.0 * _USUAL_OFFSET_MV * chance.normals(count)
    drift = np.zeros(count)
    wires = wire_current_na * (0.6 + 0.8 * chance.uniforms(count))
    for contact in contacts:
        row = ELECTRODES.index(contact.electrode)
        kohm[row] = contact.impedance_kohm
        offset_uv[row] = 1000.0 * contact.offset_mv
        drift[row] = contact.drift_uv_per_s
    right_leg_kohm = kohm[ELECTRODES.index(Electrode.RL)]
    lifted_uv = _BODY_CURRENT_NA * wire_current_na * right_leg_kohm / _DRIVEN_LEG_HELP
    mains_uv = wires * kohm - lifted_uv * kohm / _INPUT_KOHM
    wave = mains_wave(seconds, mains_hz, rate_hz, chance)
    return offset_uv[:, None] + np.outer(drift, seconds) + np.outer(mains_uv, wave)
