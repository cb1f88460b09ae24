"""Fits of simulated knives: how often ranges hold the truth, and whether the reading named first narrows most.

python tests/benchmarks/fits.py --each 30 --knives 50
"""

import argparse
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
from helpers.fitted import right_first, shares


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--each", type=int, default=30, help="knives of each of ten builds")
    options.add_argument("--knives", type=int, default=50, help="knives for the next reading")
    asked = options.parse_args()
    for name, (share, count) in shares(asked.each).items():
        print(f"{name}: nine-in-ten ranges hold the truth of {share:.3f} of {count} knives")
    best = sum(right_first(i) for i in range(asked.knives))
    print(f"the reading named first narrows most for {best} of {asked.knives} knives")


if __name__ == "__main__":
    main()
