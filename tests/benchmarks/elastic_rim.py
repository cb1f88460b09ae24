"""Elastic rim against finite elements over the sizes, loads and frictions of detents: prints a table, worst cases last.

Run: .venv/bin/python tests/benchmarks/elastic_rim.py [rows.csv]; some minutes. With a name it writes the elastic
solutions that tests/regression/rim_forces.csv holds; the comparison is with the package as it stands.

Steel ball and tang, one drill with a broken edge, a constant force along the axis. Friction below 0: closing. Columns:
largest force across and its offset, the same at shares of that offset; greatest line load where it is largest; errors
in per cent of the largest, the last of them the worst anywhere from 0.2 to 6 times the offset of the largest.

Near wedging the height hangs on the way the ball has come: there each step is cut in 16. Half as many give a crest
0.1 % lower, uncut ones one 3 to 9 % lower.
"""

import csv
import functools
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
SHARES = (0.5, 0.75, 1.0, 1.35, 2.0, 5.0)
# Friction times the tangent of the contact angle from which steps are cut, in how many, and up to which share of the
# offset by which the load has drawn together.
NEAR, FINER, CUT = 0.4, 16, 4.0
# Ball, hole over ball, edge, force, friction of cases between the grid's, and of more friction.
BETWEEN = (
    (0.6, 0.95, 0.03, 15.0, 0.2), (0.6, 0.96, 0.01, 15.0, 0.2), (1.2, 0.96, 0.03, 40.0, 0.2),
    (1.2, 0.97, 0.01, 40.0, 0.15), (1.2, 0.97, 0.1, 15.0, 0.15), (0.6, 0.97, 0.03, 15.0, 0.15),
    (0.6, 0.97, 0.01, 3.0, 0.17), (1.2, 0.965, 0.03, 15.0, 0.2), (0.6, 0.965, 0.01, 15.0, 0.2),
    (1.2, 0.965, 0.01, 40.0, 0.2), (0.6, 0.96, 0.1, 3.0, 0.2), (1.2, 0.97, 0.03, 40.0, 0.18),
    (0.6, 0.9, 0.01, 40.0, 0.3), (0.6, 0.92, 0.03, 15.0, 0.3), (1.2, 0.94, 0.03, 40.0, 0.3),
    (1.2, 0.85, 0.03, 15.0, 0.5),
)  # fmt: skip

# Ball, pilot, edge between the drills, second drill, feed, edge radius [mm].
HANDED_OVER = (
    (0.79375, 0.6985, 0.004, 0.7557, 0.07, 0.02),
    (0.79375, 0.6985, 0.004, 0.74, 0.05, 0.02),
    (0.79375, 0.6985, 0.004, 0.77, 0.11, 0.02),
    (0.79375, 0.6985, 0.004, 0.7557, 0.07, 0.05),
)
FORCES_ACROSS = ("half_N", "before_N", "peak_N", "past_N", "twice_N", "five_N")
NAMES = ("ball_radius_mm", "hole_over_ball", "edge_mm", "force_N", "friction", "peak_um", "rigid_N", *FORCES_ACROSS,
         "line_load_N_mm")  # fmt: skip


@functools.cache
def pair_of(ball, hole, edge):
    """Elastic ball and rim."""
    return Pair(ball, hole * ball, edge)


def scale(ball, hole, edge, force, friction):
    """Offset [mm] by which the load has drawn together to one side, for the steps."""
    load = solved(ball, hole * ball, edge, force, friction)
    sine = (hole * ball + edge) / (ball + edge)
    return float(load.spring.spread) * 1e3 / max(1 - friction * sine / np.sqrt(1 - sine**2), 0.1)


def places(pair, sizes, force, friction):
    """Offsets [mm] to solve, near wedging closer together."""
    drawn = scale(*sizes, force, friction)
    offsets = STEPS * drawn
    offsets = offsets[offsets < 0.5 * pair.ball]
    if friction * pair.sine / np.sqrt(1 - pair.sine**2) < NEAR:
        return offsets
    near = np.count_nonzero(offsets < CUT * drawn)
    cut = np.interp(np.arange((near - 1) * FINER + 1) / FINER, np.arange(near), offsets[:near])
    return np.concatenate([cut, offsets[near:]])


def row(pair, sizes, force, friction):
    """One line of the table, and the curve; none where the ball would lock or the rim would not carry it."""
    ball, hole, edge = sizes
    tangent = pair.sine / np.sqrt(1 - pair.sine**2)
    if friction * tangent > 0.95:
        return None
    offsets = places(pair, sizes, force, friction)
    _, force_across, load = pair.curve(offsets, force, friction)
    curve = CubicSpline(offsets, force_across)
    near = np.linspace(0, offsets[-1], 80001)
    top = float(near[np.argmax(curve(near))])
    points = [min(share * top, offsets[-1]) for share in SHARES]
    rigid = force * (tangent + friction) / (1 - friction * tangent)
    found = [ball, hole, edge, force, friction, 1e3 * top, rigid, *curve(points), float(np.interp(top, offsets, load))]
    return dict(zip(NAMES, (float(f"{value:.5g}") for value in found), strict=True)), curve


def errors(one, curve):
    """Errors of the package over a line's largest force [%]: of that, at the line's offsets, worst along the curve."""
    sizes = one["ball_radius_mm"], one["hole_over_ball"] * one["ball_radius_mm"], one["edge_mm"]
    load, top = solved(*sizes, one["force_N"], one["friction"]), one["peak_um"] / 1e3
    dense = np.geomspace(0.2, 6, 400) * top
    offsets = np.minimum(np.concatenate([np.array(SHARES) * top, dense]), curve.x[-1])
    got = across(load, offsets, opening=one["friction"] >= 0)
    off = got[len(SHARES) :] - curve(offsets[len(SHARES) :])
    want = np.array([one[name] for name in FORCES_ACROSS])
    found = [got.max() - one["peak_N"], *(got[: len(SHARES)] - want), off[np.argmax(np.abs(off))]]
    return 100 * np.array(found) / one["peak_N"]


def main():
    """Solve every case, print it with its errors, and write the rows where a name is given."""
    grid = (
        (*sizes, *load)
        for sizes in itertools.product(BALLS, HOLES, EDGES)
        for load in itertools.product(FORCES, FRICTIONS)
    )
    rows, off = [], []
    for ball, hole, edge, force, friction in (*grid, *BETWEEN):
        try:
            found = row(pair_of(ball, hole, edge), (ball, hole, edge), force, friction)
        except ValueError:  # it sinks beyond what the solution reaches
            continue
        if found is not None:
            rows.append(found[0])
            off.append(errors(*found))
            print(*rows[-1].values(), "errors", *off[-1].round(2), flush=True)
    off = np.array(off)
    for column, name in enumerate(("largest", *FORCES_ACROSS, "whole curve")):
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
