"""The outline of the designs of a map that meet the target, which may run between two designs.

Takes results on the grid of a `Plane`; each runs straight between neighbours.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from matplotlib.patheffects import withStroke

from detentsim.show.many_builds.sweep.scales import band_of, result_name, wanted_words
from detentsim.show.theme.style import INK, Array

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

    from detentsim.show.many_builds.sweep.maps.planes import Plane
    from detentsim.show.many_builds.sweep.regions import Mask

# Points across and up on which the outline is sought, and the size of it that needs a ring to be seen [pt].
FINE, TINY = 241, 14.0


class Aim(NamedTuple):
    """The target on a map."""

    words: str
    paths: list[Array]  # of its outline, each of shape (2, n)
    met: Mask  # whether a design of the grid meets it; shape (across, up)
    best: tuple[float, float] | None  # where it is met by most; None where it is met nowhere


def outline(ax: Axes, plane: Plane, names: Sequence[str]) -> Aim | None:
    """Draw a heavy line about the designs that meet the targets on the results drawn; None without a target.

    Parameters
    ----------
    ax : Axes
        With its limits set for good.
    plane : Plane
    names : sequence of str
        Results drawn.
    """
    found = [one for one in (_margins(plane, name) for name in dict.fromkeys(names)) if one is not None]
    if not found:
        return None
    words = [told for _, told in found]
    if len(words) == 1:
        words = [words[0].removeprefix(f"{result_name(names[0])} ")]
    sides = [side for each, _ in found for side in each]
    met = np.min(sides, axis=0) >= 0
    x, y = plane.grid(plane.x)[0], plane.grid(plane.y)[0]
    fine_x, fine_y = (np.union1d(np.linspace(at[0], at[-1], FINE), at) for at in (x, y))
    least = np.min([_finer(x, y, side, fine_x, fine_y) for side in sides], axis=0)
    least = np.where(np.isfinite(least), least, -1.0)
    if not np.any(least >= 0):
        return Aim("target " + " and ".join(words), [], met.T, None)
    solved = _finer(x, y, plane.values(plane.s.done)[2], fine_x, fine_y) > 1 - 1e-9
    paths = _draw(ax, fine_x, fine_y, least, solved)
    b, a = np.unravel_index(int(np.argmax(least)), least.shape)
    best = float(fine_x[a]), float(fine_y[b])
    _ring(ax, paths, best)
    return Aim("target " + " and ".join(words), paths, met.T, best)


def _finer(x: Array, y: Array, z: Array, fine_x: Array, fine_y: Array) -> Array:
    """Values between those of a grid, straight along both of its directions; shape (up, across)."""
    rows = np.stack([np.interp(fine_x, x, row) for row in z])
    return np.stack([np.interp(fine_y, y, column) for column in rows.T], axis=1)


def _draw(ax: Axes, x: Array, y: Array, least: Array, solved: Mask) -> list[Array]:
    """The outline, closed along the frame and open towards what is not solved."""
    rim = np.pad(least, 1, constant_values=-1e-3)
    masked = np.ma.masked_array(rim, ~np.pad(solved, 1, mode="edge"))
    around = [np.concatenate([[at[0]], at, [at[-1]]]) for at in (x, y)]
    drawn = ax.contour(*around, masked, levels=[0.0], colors=[INK], linewidths=2.2, linestyles=["solid"], zorder=4)
    drawn.set(path_effects=[withStroke(linewidth=4, foreground="white")], gid="target")
    parts = [np.asarray(part) for path in drawn.get_paths() for part in path.to_polygons(closed_only=False)]
    return [part.T for part in parts if len(part) > 1]


def _ring(ax: Axes, paths: list[Array], best: tuple[float, float]) -> None:
    """A ring about a target too small to be seen by its outline alone."""
    corners = ax.transData.transform(np.concatenate(paths, axis=1).T) if paths else np.zeros((1, 2))
    if np.all(np.ptp(corners, axis=0) * 72 / ax.figure.dpi < TINY):
        style: dict[str, Any] = {"marker": "o", "ms": 1.4 * TINY, "mfc": "none", "mec": INK, "mew": 1.4, "zorder": 4.1}
        white = [withStroke(linewidth=3, foreground="white")]
        ax.plot(*([at] for at in best), ls="none", gid="target ring", path_effects=white, **style)


def _margins(plane: Plane, name: str) -> tuple[list[Array], str] | None:
    """How far a result lies inside each end of its target, as a part of its range, and the target in words."""
    truths = [t.truth for t in plane.s.build.target if t.name == name and t.truth is not None]
    z = plane.known(name)[2]
    if truths:
        return [z - 0.5 if truths[0] else 0.5 - z], ("" if truths[0] else "not ") + result_name(name)
    target = band_of(plane.s, name)
    if target is None:
        return None
    scale = (np.ptp(z[np.isfinite(z)]) if np.any(np.isfinite(z)) else 0.0) or 1.0
    sides = [(z - target.at_least) / scale] if target.at_least is not None else []
    sides += [(target.at_most - z) / scale] if target.at_most is not None else []
    words = wanted_words(target, plane.s.build.units).removeprefix("target ")
    return sides, f"{result_name(name)} {words}"
