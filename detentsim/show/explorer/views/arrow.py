"""Arrow of a force: a patch that is moved at every turn of a knob."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.patches import Polygon

if TYPE_CHECKING:
    import numpy.typing as npt

# Half widths of shaft and head, and length of the head, as parts of a length given by the drawing.
SHAFT, HEAD, POINT = 0.028, 0.085, 0.17

# Shortest arrow that is drawn, as a part of the same length.
LEAST = 0.03


class Arrow(Polygon):
    """Filled arrow; hidden where its force is zero.

    Parameters
    ----------
    style
        As a polygon takes it.
    """

    def __init__(self, **style: Any) -> None:
        super().__init__(np.zeros((3, 2)), closed=True, lw=0, **style)

    def place(self, tail: tuple[float, float], along: tuple[float, float], size: float) -> None:
        """Draw it from a point along a vector.

        Parameters
        ----------
        tail : (x, y)
            [data].
        along : (x, y)
            From tail to point [data].
        size : float
            Length by which its width goes [data].
        """
        length = float(np.hypot(*along))
        self.set_visible(length > LEAST * size)
        if not self.get_visible():
            return
        ahead = np.array(along) / length
        across = np.array([-ahead[1], ahead[0]])
        head = min(POINT * size, 0.7 * length)
        neck = length - head
        wide = head / POINT
        outline = [(0, SHAFT * size), (neck, SHAFT * size), (neck, HEAD * wide), (length, 0)]
        outline += [(x, -y) for x, y in outline[-2::-1]]
        points: npt.NDArray[np.float64] = np.array([tail + x * ahead + y * across for x, y in outline])
        self.set_xy(points)
