"""Arrays of a solved design: the bar as a spring, the dimple's pieces, torques at ball angles.

Stands alone; ``bar_spring`` and ``path.segments`` fill them, and everything about torque takes them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from detentsim.mechanics.contact.dimple import Pieces
    from detentsim.mechanics.record import Array, Record


class Spring(NamedTuple):
    """The bar as a spring at the ball; fields of the designs' shape."""

    stiffness: Array  # k [N/m]
    reach: Array  # Y, depth of the free ball's tip below the flat, grip included [m]
    protrusion: Array  # p [m]
    twist_give: Array  # twist compliance C = 1/(k_lat rho^2), blade angle per torque [rad/(N m)]
    swing: Array  # chi sin(beta): travel of the contact along the path per unit lift [-]
    bed: Array = np.zeros(())  # R/K, give of the rim as a line foundation; 0 rigid [m^3/N]
    flat: Array = np.zeros(())  # push that the ball's sinking into the flat takes from the bar [N]
    spread: Array = np.zeros(())  # offset at which the load on the rim has drawn together to one side [m]
    shared: Array = np.zeros(())  # offset from which two edges share the load; this and the next two are 0 without [m]
    alone: Array = np.zeros(())  # offset from which the second one carries it alone; both without friction [m]
    rubs: Array = np.zeros(())  # relative growth of the way between them with friction [-]


class SolvedDetent(NamedTuple):
    """A design with its bar stiffness and its dimple geometry, solved once."""

    record: Record
    spring: Spring
    shape: Pieces


class Torques(NamedTuple):
    """Torques at ball angles; all of one shape."""

    opening: Array  # [N m]
    closing: Array  # [N m]
    force: Array  # on the ball [N]
    push: Array  # of the bar on the tang, through ball or face [N]
    depth: Array  # ball tip below the face [m]
    sine: Array  # of the contact angle [-]
