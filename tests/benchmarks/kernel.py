"""Cost of a design in the kernel beside one bare NumPy expression, in one run.

The expression is `N (m + mu) / (1 - mu m)`, `m = (a - s) / sqrt(R^2 - (a - s)^2)`, in blocks that fit the cache.

Run: .venv/bin/python tests/benchmarks/kernel.py
"""

import time

import numpy as np

from detentsim.build.model import demo
from detentsim.build.record import assemble, plain
from detentsim.mechanics.response import respond

BLOCK = 16_384


def bare(count: int) -> float:
    """Seconds for one evaluation of the expression."""
    s = np.linspace(0, 0.5e-3, BLOCK)
    start = time.perf_counter()
    for _ in range(count // BLOCK):
        u = 0.7e-3 - s
        m = u / np.sqrt(0.794e-3**2 - u * u)
        5.0 * (m + 0.12) / (1 - 0.12 * m)
    return (time.perf_counter() - start) / (count // BLOCK * BLOCK)


def kernel(count: int, lateral: float) -> float:
    """Seconds for one design, every sensitive input varied."""
    rng = np.random.default_rng(7)
    numbers = plain(demo()) | {
        "bar.lateral_compliance": lateral,
        "dimple.rim_feed": rng.uniform(0, 0.15e-3, count),
        "bar.bend": rng.uniform(1e-3, 3e-3, count),
        "friction.ball_on_tang": rng.uniform(0.05, 0.2, count),
        "dimple.overclose": rng.uniform(-0.02e-3, 0.08e-3, count),
    }
    start = time.perf_counter()
    respond(assemble(numbers))
    return (time.perf_counter() - start) / count


unit = min(bare(4_000_000) for _ in range(5))
print(f"bare expression      {1e9 * unit:10.1f} ns")
for name, lateral in (("laterally rigid", 0.0), ("with side give", float("nan"))):
    for count in (1, 1_000, 10_000):
        cost = min(kernel(count, lateral) for _ in range(3))
        print(f"{name:<16}{count:>7} designs {1e6 * cost:9.1f} us a design  {cost / unit:9.0f} expressions")
