"""Resisting torque of a motion on Chebyshev points of its panels, and the work against it.

``panels`` makes it from the path; ``swing`` integrates the motion over it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.motion.chebyshev import AREA, applied, slope

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array


# Number of points of a panel at which the energy is given.
LOOKS = 65

AT = np.linspace(0, 1, LOOKS)
"""Square roots of these points' shares of the panel."""


class Panels(NamedTuple):
    """Panels of n designs in the order of the motion; fields of shape (n, j, 17), constant on a panel of no length."""

    theta: Array  # blade angle [rad]
    resist: Array  # torque against the motion: ball, face, pivot and weight [N m]
    arm: Array  # lever of the finger's force; 0 where it no longer pushes [m]


def work(track: Panels) -> Array:
    """Work against the resisting torque, from the start of each panel to each of its points, shape (n, j, 17) [J].

    `int T d theta` of the interpolating polynomial; any text on mechanics.

    >>> from detentsim.mechanics.motion.chebyshev import COUNT, POINTS
    >>> theta = np.broadcast_to(POINTS, (1, 1, COUNT))
    >>> round(float(work(Panels(theta, 2.0 * theta, theta))[0, 0, -1]), 12)
    1.0
    """
    area = applied(track.resist * slope(track.theta), AREA)
    # A panel of no length takes no work, whatever the rounding.
    return np.where(track.theta[..., -1:] == track.theta[..., :1], 0.0, area)
