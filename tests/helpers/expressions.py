"""What the benchmarks of the kernel share: a bare NumPy expression as the unit, and designs at random."""

import time
from collections.abc import Callable

import numpy as np

import detentsim as ds
from detentsim.knife.record.record import plain

BLOCK = 16_384
FEW = ("breakout_torque", "breakout_force", "drag_force", "preload", "draw_torque", "let_go_angle")


def best(work: Callable[[], object], tries: int = 3) -> float:
    """Shortest of a few runs [s]."""
    times = []
    for _ in range(tries):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def bare() -> float:
    """Seconds for one evaluation of the expression."""
    s = np.linspace(0, 0.5e-3, BLOCK)

    def work() -> None:
        for _ in range(200):
            u = 0.7e-3 - s
            m = u / np.sqrt(0.794e-3**2 - u * u)
            5.0 * (m + 0.12) / (1 - 0.12 * m)

    return best(work, 5) / (200 * BLOCK)


def scattered(lateral: float) -> dict[str, object]:
    """Numbers of designs with every sensitive input at random."""
    rng = np.random.default_rng(7)
    return plain(ds.demo()) | {
        "bar.lateral_compliance": lateral,
        "dimple.rim_feed": rng.uniform(0, 0.15e-3, 10_000),
        "bar.bend": rng.uniform(1e-3, 3e-3, 10_000),
        "friction.ball_on_tang": rng.uniform(0.05, 0.2, 10_000),
        "dimple.overclose": rng.uniform(-0.02e-3, 0.08e-3, 10_000),
    }
