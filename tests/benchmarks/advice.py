"""Prints what comes of advice followed on simulated knives: set once by the drawing, by its batch, by a fit; in steps.

The last two rows: the first proposal that cannot be undone, on knives of which the lifting pull alone is read.

Run with the environment's Python; the first argument is the number of knives, 60 by default. With --cpu instead: the
time of a processor that fits and advice on 4,096 knives take, and advice on a build by itself, a design and the
findings of a batch, imports left out.
"""

import sys
from collections.abc import Callable
from dataclasses import replace
from itertools import product
from pathlib import Path
from time import process_time

sys.path.insert(0, str(Path(__file__).parents[1]))

from helpers.followed import cases, knife_of, outcomes, wanted

import detentsim as ds
from detentsim.analysis.in_hand.advise.advise import advise, rid_of
from detentsim.analysis.in_hand.advise.symptoms.evidence import evidence
from detentsim.analysis.in_hand.advise.symptoms.symptoms import symptom
from detentsim.analysis.many_builds.batch.findings import findings, results_of
from detentsim.analysis.many_builds.design.design import design
from detentsim.knife.measured.readings import Readings
from detentsim.knife.target.target import Target
from detentsim.show.in_hand.advise.document import advise_document

WAYS = ("nominal", "unread", "fitted", "steps", "cut once", "cut in steps")

SHUT = Target("falls_shut", truth=True)


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


def cpu() -> None:
    """Print the time that fits and advice take: least of three."""
    print(f"{'build':12}{'breakout':>9}  {'target':22}{'fit':>7}{'advise':>8}{'on a batch':>12}   [s]")
    for name, factor, shut in product(("as drawn", "light", "large ball"), (0.8, 1.25), (False, True)):
        build = wanted(name, factor)
        build = replace(build, target=(*build.target, SHUT)) if shut else build
        _, readings = knife_of(build, 3)
        fit, batch = ds.fit(build, readings), ds.batch(build, 4096)
        asks = (lambda: ds.fit(build, readings)), (lambda: ds.advise(fit)), (lambda: ds.advise(batch))  # noqa: B023
        took = [least(ask) for ask in asks]
        said = "breakout, falls shut" if shut else "breakout"
        print(f"{name:12}{factor:9}  {said:22}{took[0]:7.2f}{took[1]:8.2f}{took[2]:12.2f}", flush=True)
    build = wanted("as drawn", 1.0)
    hangs = symptom(build, "will not fall shut")
    seen = evidence(build, Readings(), hangs)
    print(f"rid of a blade that hangs: {least(lambda: rid_of(seen.fit, hangs.aims)):.2f} s")
    for what, ask in builds().items():
        print(f"{what}: {least(ask):.2f} s")


def builds() -> dict[str, Callable[[], object]]:
    """What is asked of builds by themselves."""
    light = ds.demo().change({"bar.bend": "1.6 mm"})
    feel = Target("breakout_force", 9.0, 11.0), SHUT
    asks: dict[str, Callable[[], object]] = {}
    for said, target in (("breakout", feel[:1]), ("breakout, falls shut", feel)):
        build = replace(light, target=target)
        asks[f"advise, {said}, proposals alone"] = lambda build=build: advise(build)
        asks[f"advise, {said}, all that its JSON tells"] = lambda build=build: advise_document(advise(build))
    asks["design"] = lambda: design(ds.demo())
    made = ds.batch(ds.demo(), 4096, of=results_of(ds.demo()))
    asks["findings of a batch of 4,096"] = lambda: findings(made)
    return asks


def least(ask: object) -> float:
    """Processor time of a call [s], the least of three."""
    took = []
    for _ in range(3):
        start = process_time()
        ask()
        took.append(process_time() - start)
    return min(took)


if __name__ == "__main__":
    cpu() if "--cpu" in sys.argv else main()
