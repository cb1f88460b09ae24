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
from scipy.optimize import brentq

sys.path.insert(0, str(Path(__file__).parents[1]))

from helpers.elastic_rim import Pair
from helpers.pressed_balls import across, solved

BALLS, HOLES, EDGES = (0.6, 1.2), (0.8, 0.9, 0.97), (0.01, 0.03, 0.1)
FORCES, FRICTIONS = (3.0, 15.0, 40.0), (0.0, 0.05, 0.12, 0.2, -0.12)
STEPS = np.concatenate([np.linspace(0, 1, 11), np.geomspace(1, 20, 41)[1:], np.geomspace(20, 130, 8)[1:]])
SHARES = (0.5, 1.0, 2.0, 5.0)
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


def handed_over(force, friction):
    """Force across after an outer edge has taken the ball over: elastic, by the package, and of a rigid rim [N].

    A ball of 1/16 in on the pilot's edge (#54), then on the rim (#53, feed 0.07 mm, edge radius 0.02 mm). Each edge is
    taken with the give of a hole of its own, and the load is shared so that both carry the ball at one height.
    """
    moduli, ball = (310e3, 205e3), 0.79375
    edges = [(Pair(ball, 0.6985, 0.004, moduli), 0.074), (Pair(ball, 0.7557, 0.02, moduli), 0.02)]

    def rigid(offset):
        return max(pair.rigid_height(offset) - depth for pair, depth in edges)

    def apart(offset):
        inner, outer = (pair.rigid_height(offset) - depth for pair, depth in edges)
        return inner - outer

    met = brentq(apart, 0, 0.3)
    offsets = met + np.linspace(-0.02, 0.04, 49)
    climb = np.gradient([rigid(offset) for offset in offsets], offsets)
    across_both = []
    for offset, up in zip(offsets, climb, strict=True):

        def carried(sunk, offset=offset, up=up):
            parts = [pair.forces(offset, rigid(offset) - sunk + depth, up, friction)[:2] for pair, depth in edges]
            return np.sum(parts, axis=0)

        sunk = brentq(lambda sunk, carried=carried: carried(sunk)[0] - force, 1e-7, 0.04)
        across_both.append(carried(sunk)[1])
    outer = edges[1][0]
    tangent = (outer.out - met) / outer.rigid_height(met)
    load = solved(ball, 0.6985, 0.02, force, friction, moduli=(310e9, 205e9), second=(0.7557, 0.07))
    return (
        max(across_both),
        across(load, met + np.linspace(0, 0.01, 50)).max(),
        force * (tangent + friction) / (1 - friction * tangent),
    )


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
    print("\nhanded over from one edge to another: elastic, package, rigid")
    for force, friction in ((9.5, 0.0), (9.5, 0.12), (30.0, 0.12)):
        print(force, friction, *(f"{value:.2f}" for value in handed_over(force, friction)))
    if len(sys.argv) > 1:
        with Path(sys.argv[1]).open("w", newline="", encoding="utf-8") as file:
            writer = csv.DictWriter(file, NAMES, lineterminator="\n")
            writer.writeheader()
            writer.writerows(rows)


if __name__ == "__main__":
    main()
