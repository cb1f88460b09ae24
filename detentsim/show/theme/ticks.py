"""Round ticks of an axis in the unit that its reader uses, whatever unit its data are in."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from matplotlib.ticker import MaxNLocator

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.axis import Axis

    from detentsim.units.systems import UnitSystem


def round_ticks(axis: Axis, scale: float = 1.0, most: int = 8, ends: tuple[float, float] | None = None) -> None:
    """Set ticks at round numbers of the unit shown; call it after the limits of the axis are set.

    Parameters
    ----------
    axis : Axis
    scale : float
        Factor from the unit of the data to the one shown.
    most : int
        Intervals at most.
    ends : tuple of float, optional
        Data values between which ticks may stand; the whole axis by default.

    Examples
    --------
    >>> from matplotlib.figure import Figure
    >>> ax = Figure().subplots()
    >>> limits = ax.set_xlim(0, 25.4)
    >>> round_ticks(ax.xaxis, 1 / 25.4, 5)
    >>> [text.get_text() for text in ax.get_xticklabels()]
    ['0.0', '0.2', '0.4', '0.6', '0.8', '1.0']
    """
    across = np.sort(np.asarray(axis.get_view_interval() if ends is None else ends, float))
    low, high = across[0], across[1]
    span = (high - low) * scale
    ticks = MaxNLocator(most, steps=[1, 2, 2.5, 5, 10]).tick_values(low * scale, high * scale)
    ticks = ticks[(ticks >= low * scale - 1e-9 * span) & (ticks <= high * scale + 1e-9 * span)]
    places = next((n for n in range(8) if np.allclose(np.round(ticks, n), ticks, rtol=0, atol=1e-6 * span)), 8)
    texts = [f"{round(tick, places) + 0.0:.{places}f}".replace("-", "\N{MINUS SIGN}") for tick in ticks]
    axis.set_ticks([float(tick / scale) for tick in ticks], texts)


def feel_axes(ax: Axes, units: UnitSystem) -> None:
    """Scale and name the axes of a finger force over blade angle; call it after their limits are set.

    Parameters
    ----------
    ax : Axes
        Blade angle [deg] across; force up in N.
    units : UnitSystem
        In which the force is read.
    """
    round_ticks(ax.xaxis, 1.0, 6)
    round_ticks(ax.yaxis, units.scale("N"), 6)
    ax.set_xlabel("blade angle [deg]")
    ax.set_ylabel(f"force at the opener [{units.unit('N')}]")
