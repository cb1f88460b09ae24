"""Greatest line load of a ball on its rim against finite elements: prints a table by offset, worst cases last.

Run: .venv/bin/python tests/benchmarks/line_loads.py [rows.csv]; some minutes. With a name it writes the elastic
solutions that tests/regression/line_loads.csv holds.

Steel ball and tang, one drill with a broken edge, a constant force along the axis, no friction. Beyond a hundredth of
the ball's radius aside the edge's give is that at the place and angle where it is touched.
"""

import csv
import itertools
import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from helpers.elastic_rim import Pair
from helpers.line_loads import NAMES, Turned, package_load

BALLS, HOLES, EDGES = (0.6, 1.2), (0.8, 0.9, 0.97), (0.01, 0.03, 0.1)
FORCES = (3.0, 12.0, 40.0)
ASIDE = (0.0, 0.003, 0.01, 0.02, 0.06, 0.15, 0.3)  # over the ball's radius
NEAR = 0.011  # up to which a centred ball's angle will do
MODULUS = 210e3 / (1 - 0.3**2) / 2  # [N/mm^2]
FEWEST, MOST = 48, 208  # points on half a ring


def solved(sizes, force, offset):
    """Greatest line load [N/mm], with points round the ring as near as the width of the contact lets them stand."""
    ball, hole, edge = sizes
    count = 96
    for _ in range(2):
        pair = Pair(*sizes, places=count) if offset < NEAR * ball else Turned(*sizes, offset, places=count)
        load = pair.settled(offset, force, lambda _: 0.0, 0.0)[2]
        width = np.sqrt(4 * load * ball * edge / (ball + edge) / (np.pi * MODULUS))
        count = int(np.clip(np.pi * hole / (1.6 * width), FEWEST, MOST) // 16 * 16)
    return load


def main():
    """Solve every case, print the errors of the package by offset, and write the rows where a name is given."""
    rows = []
    for ball, hole, edge, aside in itertools.product(BALLS, HOLES, EDGES, ASIDE):
        for force in FORCES:
            load = solved((ball, hole * ball, edge), force, aside * ball)
            rows.append(dict(zip(NAMES, (ball, hole, edge, force, aside * ball, load), strict=True)))
        print(*(f"{value:.5g}" for value in rows[-1].values()), flush=True)
    off = np.array([100 * (package_load(row) / row["line_load_N_mm"] - 1) for row in rows])
    for aside in ASIDE:
        here = off[[bool(np.isclose(row["offset_mm"], aside * row["ball_radius_mm"])) for row in rows]]
        print(f"aside {aside:5} R: {here.min():6.2f} {np.median(here):6.2f} {here.max():6.2f} %")
    if len(sys.argv) > 1:
        with Path(sys.argv[1]).open("w", newline="", encoding="utf-8") as file:
            writer = csv.DictWriter(file, NAMES, lineterminator="\n")
            writer.writeheader()
            writer.writerows({name: float(f"{value:.5g}") for name, value in row.items()} for row in rows)


if __name__ == "__main__":
    main()
