"""Elastic rim against finite elements over the sizes, loads and frictions of detents: prints a table, worst cases last.

Run: .venv/bin/python tests/benchmarks/elastic_rim.py [rows.csv]; some minutes. With a name it writes the elastic
solutions that tests/regression/rim_forces.csv holds; the comparison is with the package as it stands.

Steel ball and tang, one drill with a broken edge, a constant force along the axis. Friction below 0: closing. Columns:
largest force across and its offset, the same at a half, 2 and 5 times that offset; greatest line load where it is
largest; errors in per cent of the largest.
"""

import csv
import itertools
import sys
from pathlib import Path

import numpy as np
from scipy.interpolate import CubicSpline

sys.path.insert(0, str(Path(__file__).parents[1]))

from helpers.elastic_edges import handed_over
from helpers.elastic_rim import Pair
from helpers.pressed_balls import across, solved

BALLS, HOLES, EDGES = (0.6, 1.2), (0.8, 0.9, 0.97), (0.01, 0.03, 0.1)
FORCES, FRICTIONS = (3.0, 15.0, 40.0), (0.0, 0.05, 0.12, 0.2, -0.12)
STEPS = np.concatenate([np.linspace(0, 1, 11), np.geomspace(1, 20, 41)[1:], np.geomspace(20, 130, 8)[1:]])
SHARES = (0.5, 1.0, 2.0, 5.0)

# Ball, pilot, edge between the drills, second drill, feed, edge radius [mm].
HANDED_OVER = (
    (0.79375, 0.6985, 0.004, 0.7557, 0.07, 0.02),
    (0.79375, 0.6985, 0.004, 0.74, 0.05, 0.02),
    (0.79375, 0.6985, 0.004, 0.77, 0.11, 0.02),
    (0.79375, 0.6985, 0.004, 0.7557, 0.07, 0.05),
)
NAMES = ("ball_radius_mm", "hole_over_ball", "edge_mm", "force_N", "friction", "peak_um", "rigid_N", "half_N", "peak_N",
         "twice_N", "five_N", "line_load_N_mm")  # fmt: skip


def scale(ball, hole, edge, force, friction):
    """Offset [mm] by which the load has drawn together to one side, for the steps."""
    load = solved(ball, hole * ball, edge, force, friction)
    sine = (hole * ball + edge) / (ball + edge)
    return float(load.spring.spread) * 1e3 / max(1 - friction * sine / np.sqrt(1 - sine**2), 0.1)


def row(pair, sizes, force, friction):
    """One line of the table; none where the ball would lock or the rim would not carry it."""
    ball, hole, edge = sizes
    tangent = pair.sine / np.sqrt(1 - pair.sine**2)
    if friction * tangent > 0.95:
        return None
    offsets = STEPS * scale(ball, hole, edge, force, friction)
    offsets = offsets[offsets < 0.5 * ball]
    _, force_across, load = pair.curve(offsets, force, friction)
    curve = CubicSpline(offsets, force_across)
    near = np.linspace(0, offsets[-1], 20001)
    top = float(near[np.argmax(curve(near))])
    points = [min(share * top, offsets[-1]) for share in SHARES]
    rigid = force * (tangent + friction) / (1 - friction * tangent)
    found = [ball, hole, edge, force, friction, 1e3 * top, rigid, *curve(points), float(np.interp(top, offsets, load))]
    return dict(zip(NAMES, (float(f"{value:.5g}") for value in found), strict=True))


def errors(one):
    """Errors of the package at the four offsets of a line, over its largest force [%]."""
    sizes = one["ball_radius_mm"], one["hole_over_ball"] * one["ball_radius_mm"], one["edge_mm"]
    load = solved(*sizes, one["force_N"], one["friction"])
    offsets = np.minimum(np.array(SHARES) * one["peak_um"] / 1e3, 0.5 * one["ball_radius_mm"])
    got = across(load, offsets, opening=one["friction"] >= 0)
    near = across(load, np.linspace(0.02, 4, 400) * one["peak_um"] / 1e3, opening=one["friction"] >= 0).max()
    want = np.array([one[name] for name in ("half_N", "peak_N", "twice_N", "five_N")])
    return 100 * np.array([near - one["peak_N"], *(got - want)]) / one["peak_N"]


def main():
    """Solve every case, print it with its errors, and write the rows where a name is given."""
    rows = []
    for sizes in itertools.product(BALLS, HOLES, EDGES):
        pair = Pair(sizes[0], sizes[1] * sizes[0], sizes[2])
        for force, friction in itertools.product(FORCES, FRICTIONS):
            try:
                one = row(pair, sizes, force, friction)
            except ValueError:  # it sinks beyond what the solution reaches
                continue
            if one is not None:
                rows.append(one)
                print(*one.values(), "errors", *errors(one).round(2), flush=True)
    off = np.array([errors(one) for one in rows])
    for column, name in enumerate(("largest", "half way", "at largest", "twice", "five times")):
        for place in (np.argmin(off[:, column]), np.argmax(off[:, column])):
            print(f"{name:12} {off[place, column]:7.2f} %", *list(rows[place].values())[:5])
    print("\nhanded over from one edge to another: largest force, elastic, package, rigid; errors round it")
    for sizes in HANDED_OVER:
        for force, friction in ((9.5, 0.0), (9.5, 0.12), (30.0, 0.12), (30.0, -0.12)):
            offsets, want, rigid, load = handed_over(sizes, force, friction)
            got = across(load, offsets, opening=friction >= 0)
            off = 100 * (got - want) / want.max()
            print(
                sizes,
                force,
                friction,
                f"{want.max():.2f} {got.max():.2f} {rigid:.2f}  {off.min():.2f} {off.max():.2f} %",
            )
    if len(sys.argv) > 1:
        with Path(sys.argv[1]).open("w", newline="", encoding="utf-8") as file:
            writer = csv.DictWriter(file, NAMES, lineterminator="\n")
            writer.writeheader()
            writer.writerows(rows)


if __name__ == "__main__":
    main()
