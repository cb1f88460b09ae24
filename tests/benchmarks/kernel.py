"""Cost of sweeps beside one bare NumPy expression, all in one run.

The expression is `N (m + mu) / (1 - mu m)`, `m = (a - s) / sqrt(R^2 - (a - s)^2)`, in blocks that fit the cache. Every
line is the best of a few tries on one core, but for the last of each group, which spreads its blocks over two threads.

Run: .venv/bin/python tests/benchmarks/kernel.py [designs]
"""

import resource
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from helpers.expressions import FEW, bare, best, scattered

import detentsim as ds
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import plain
from detentsim.mechanics.names import RESULT_NAMES
from detentsim.mechanics.response import respond

CHEAP = tuple(name for name in RESULT_NAMES if name != "breakout_energy")


def told(what: str, seconds: float, count: int) -> None:
    print(f"{what:<58}{1e9 * seconds / count:>12,.0f} ns{seconds / count / UNIT:>10,.0f} expressions")


def grid(build: ds.Build, side: int, of: tuple[str, ...], executor: ThreadPoolExecutor | None = None) -> ds.Sweep:
    vary = {
        "dimple.rim_feed": ("0 mm", "0.15 mm", side),
        "bar.bend": ("1 mm", "3 mm", side),
        "friction.ball_on_tang": (0.05, 0.2, side),
    }
    return ds.sweep(build, vary, of, executor=executor)


if __name__ == "__main__":
    UNIT = bare()
    SIDE = round((int(sys.argv[1]) if len(sys.argv) > 1 else 64_000) ** (1 / 3))
    STIFF = ds.demo().change({"bar.lateral_stiffness": "rigid"})

    print(f"bare expression {1e9 * UNIT:.2f} ns\n\na design")
    one = assemble(plain(ds.demo()))
    told("alone, all results", best(lambda: respond(one), 9), 1)
    for name, lateral in (("bar rigid sideways", 0.0), ("bar gives sideways", np.nan)):
        record = assemble(scattered(lateral))
        for few, of in (("six results", FEW), ("all but the energy", CHEAP), ("all results", RESULT_NAMES)):
            told(f"10,000 at random, {name}, {few}", best(lambda r=record, of=of: respond(r, of)), 10_000)
    for name, lateral in (("bar rigid sideways", 0.0), ("bar gives sideways", np.nan)):
        rims = [assemble(scattered(lateral) | {"contact.rim_gives": gives}) for gives in (0.0, 1.0)]
        for few, of in (("six results", FEW), ("all results", RESULT_NAMES)):
            rigid, elastic = (best(lambda r=record, of=of: respond(r, of), 5) for record in rims)
            print(f"  elastic over rigid rim, {name}, {few}: {elastic / rigid:.2f}")
    rims = [assemble(plain(ds.demo()) | {"contact.rim_gives": gives}) for gives in (0.0, 1.0)]
    rigid, elastic = (best(lambda r=record: respond(r), 9) for record in rims)
    print(f"  elastic over rigid rim, one design: {elastic / rigid:.2f}")
    for name, build in (("bar rigid sideways", STIFF), ("bar gives sideways", ds.demo())):
        for few, of in (("six results", FEW), ("all results", RESULT_NAMES)):
            told(f"sweep of {SIDE**3:,}, {name}, {few}", best(lambda b=build, o=of: grid(b, SIDE, o), 2), SIDE**3)
        with ThreadPoolExecutor(2) as pool:
            told("  the same in two threads", best(lambda b=build, p=pool: grid(b, SIDE, RESULT_NAMES, p), 2), SIDE**3)

    print("\na point of a whole curve: both torques and the finger's force")
    for name, build in (("bar rigid sideways", STIFF), ("bar gives sideways", ds.demo())):
        s = grid(build, 8, ("preload",))
        for count in (60, 600):
            at = ("0 deg", "12 deg", count)
            told(f"512 designs at {count} angles, {name}", best(lambda s=s, at=at: s.curves(at)), 512 * count)

    print(f"\nmost memory of this process {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:,.0f} MB")
