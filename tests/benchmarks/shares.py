"""Intervals of a batch's share against plain Monte Carlo, over many random builds; prints how often they hold it.

python tests/benchmarks/shares.py --builds 100 --knives 200000 --count 1024
"""

import argparse
import random
import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))
from helpers.mutations import random_changes

import detentsim as ds
from detentsim.analysis.inside import each_inside
from detentsim.knife.record.doubts import doubts
from detentsim.knife.record.drawing import draw
from detentsim.knife.record.record import plain
from detentsim.mechanics.response import respond

AT_ONCE = 20_000


def builds(count, seed):
    """Random builds with a target of 15 % below to 20 % above their own breakout, some of whose knives are inside."""
    rng = random.Random(seed)
    while count:
        try:
            build = ds.demo().change(random_changes(rng)[0])
            own = ds.curve(build).results["breakout_force"]
        except ds.InputError:
            continue
        if own is None or not own > 0.2:
            continue
        text = build.text.partition("[target]")[0]
        wanted = f'[target]\nbreakout_force = {{ at_least = "{0.85 * own:.6g} N", at_most = "{1.2 * own:.6g} N" }}\n'
        aimed = ds.Build.loads(text + wanted)
        if 0.01 < ds.batch(aimed, 64, seed=99).share().share < 0.99:
            count -= 1
            yield aimed


def by_chance(build, knives, rng):
    """Share inside of knives drawn at random."""
    spread = doubts(build, plain(build))
    shares = []
    for _ in range(knives // AT_ONCE):
        found = draw(build, spread, rng.random((AT_ONCE, len(spread))))
        solved = respond(found.record, ("breakout_force",))
        shares.append(float(each_inside(solved.results, solved.flags, build.target, found.excluded, {})).mean())
    return float(np.mean(shares))


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    for name, count in {"builds": 100, "knives": 200_000, "count": 1024, "seed": 1}.items():
        options.add_argument(f"--{name}", type=int, default=count)
    asked = options.parse_args()
    rng = np.random.default_rng(asked.seed)
    held = []
    for i, build in enumerate(builds(asked.builds, asked.seed)):
        share, true = ds.batch(build, asked.count).share(), by_chance(build, asked.knives, rng)
        held.append(share.low <= true <= share.high)
        if not held[-1]:
            print(f"build {i}: {share.low:.4f} to {share.high:.4f}, by chance {true:.4f}")
    print(f"{sum(held)} of {len(held)} intervals of {asked.count} knives hold the share of {asked.knives:,} at random")


if __name__ == "__main__":
    main()
