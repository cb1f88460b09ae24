"""Knives on a made-up gauge: the demo, a lighter one, and readings of either."""

from detentsim.knife.measured.measured import Measured
from helpers.gauges import readings, table

LIGHT, DEEP, PROUD = {"bar.bend": "1.4 mm"}, {"dimple.rim_feed": "0.16 mm"}, {"dimple.overclose": "-0.05 mm"}


def gauge(build, runs=3, noise=0.15, unit="N", seed=1, **more):
    made = [readings(build, noise=noise, seed=seed + i, **more) for i in range(runs)]
    return Measured.from_text(table(made, unit), "on the bench")
