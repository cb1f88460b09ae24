"""How an edge wears by Archard's law as the ball slides over it, coined before. Takes hardness from ``strength``."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.contact.coining.strength import meyer_pressure

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from detentsim.mechanics.record import Array

# Wear coefficients K of Archard's law, least and most [-]. Dry: ferritic stainless on tool steel 1.7e-5, hardened
# tool steel on itself 1.3e-4 (J. F. Archard and W. Hirst, Proc. R. Soc. A 236, 1956, from memory). Oiled or greased:
# from good to poor boundary lubrication (E. Rabinowicz, Friction and Wear of Materials, from memory).
WEAR = {"oiled": (1e-7, 1e-5), "dry": (1e-5, 1.3e-4)}


def worn_area(load_by_path: ArrayLike, hardness: ArrayLike, coefficient: ArrayLike) -> Array:
    """Section of metal that sliding wears off an edge, `K (w l)/H` [m^2].

    `load_by_path` w l, line load times the way it slides [N]; `hardness` in Vickers, H its `meyer_pressure`;
    `coefficient` K [-]. Source: J. F. Archard, Journal of Applied Physics 24 (1953) 981, for each unit of the edge.

    >>> round(float(worn_area(1e4 * 30.0, 700.0, 1e-6)) * 1e12, 1)
    40.5
    """
    return np.asarray(np.asarray(coefficient, float) * load_by_path / meyer_pressure(hardness))


def worn_radius(radius: ArrayLike, wedge: ArrayLike, area: ArrayLike) -> Array:
    """Radius of an edge after more of its section has worn off under a load that spreads as it does [m].

    Parameters
    ----------
    radius : array_like
        Before, r0 [m].
    wedge : array_like
        Angle that the metal fills, alpha [rad], below pi.
    area : array_like
        That the load before would wear off [m^2].

    Returns
    -------
    array

    Notes
    -----
    A rounding that touches both faces takes `q r^2`, `q = cot(alpha/2) - (pi - alpha)/2`, off a sharp edge. The length
    that bears the load grows as the root of the recession (`coined`), so that `2 q r dr = sqrt(r0/r) dA` and
    `r^(5/2) = r0^(5/2) + 5/4 sqrt(r0) A/q` (derived).

    Examples
    --------
    >>> round(float(worn_radius(1.0, np.pi / 2, 1e-6 * (1 - np.pi / 4)) - 1.0) * 1e6, 3)
    0.5
    """
    turn = (np.pi - np.asarray(wedge, float)) / 2
    before = np.asarray(radius, float)
    with np.errstate(divide="ignore", invalid="ignore"):
        more = 1.25 * np.sqrt(before) * np.asarray(area, float) / (np.tan(turn) - turn)
    return np.asarray((before**2.5 + np.where(np.asarray(area, float) > 0, more, 0.0)) ** 0.4)
