"""Prints what comes of advice followed on simulated knives: set once by the drawing, by its batch, by a fit; in steps.

The last two rows: the first proposal that cannot be undone, on knives of which the lifting pull alone is read.

Run with the environment's Python; the first argument is the number of knives, 60 by default.
"""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from helpers.followed import cases, outcomes

WAYS = ("nominal", "unread", "fitted", "steps", "cut once", "cut in steps")


def main() -> None:
    """Follow the advice on every knife and print the table."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    rows = {way: [] for way in WAYS}
    for name, factor, seed in cases(count):
        found = outcomes(name, factor, seed)
        for way, outcome in (found or {}).items():
            rows[way].append(outcome)
        if "-v" in sys.argv:
            print(name, factor, seed, found and {k: [round(x, 2) for x in v] for k, v in found.items()}, flush=True)
    print(f"{'advice':13}{'knives':>8}{'inside':>9}{'past':>8}{'warning':>9}{'past, of cuts':>15}{'cuts':>6}")
    for way, outcomes_of in rows.items():
        cuts = [one.overshoots for one in outcomes_of if one.for_good]
        mean = [100 * sum(one[i] for one in outcomes_of) / max(len(outcomes_of), 1) for i in range(3)]
        past = f"{100 * sum(cuts) / len(cuts):.1f} %" if cuts else "-"
        print(f"{way:13}{len(outcomes_of):8}{mean[0]:7.1f} %{mean[1]:6.1f} %{mean[2]:7.1f} %{past:>15}{len(cuts):6}")


if __name__ == "__main__":
    main()
