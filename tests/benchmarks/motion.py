"""Cost of motion beside that of the feel, for the same 10,000 designs in one run.

Run: .venv/bin/python tests/benchmarks/motion.py [designs]
"""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from helpers.expressions import best

import detentsim as ds
from detentsim.mechanics.names import MOTION_NAMES, RESULT_NAMES

GROUPS = {
    "the feel": RESULT_NAMES,
    "whether it falls shut": ("falls_shut", "hang_angle"),
    "whether it stays shut": ("carry_g",),
    "whether it flies open": ("opens_fully", "arrival_speed", "wrist_energy"),
    "all of motion": MOTION_NAMES,
}


if __name__ == "__main__":
    SIDE = round((int(sys.argv[1]) if len(sys.argv) > 1 else 10_000) ** (1 / 2))
    VARY = {"dimple.rim_feed": ("0 mm", "0.15 mm", SIDE), "bar.bend": ("1 mm", "3 mm", SIDE)}
    took = {name: best(lambda of=of: ds.sweep(ds.demo(), VARY, of)) for name, of in GROUPS.items()}
    print(f"{SIDE**2:,} designs in one sweep")
    for name, seconds in took.items():
        print(f"{name:<30}{seconds:>8.2f} s{seconds / took['the feel']:>8.2f} times the feel")
