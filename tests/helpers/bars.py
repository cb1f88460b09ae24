"""Bars of fixed and of random sizes, and their shear compliance by numerical integration."""

import numpy as np
from scipy.integrate import quad

from detentsim.mechanics.record import Record


def bar(**changes):
    """Record of a bar; a textbook one, clamped and free of cross contraction, unless changed. SI."""
    values = dict.fromkeys(Record._fields, 0.0)
    values |= {"youngs_modulus": 113.8e9, "thickness": 3e-3, "width": 8e-3, "calibration": 1.0}
    values |= {"relief_thickness": 1.5e-3, "relief_length": 12e-3, "lateral_compliance": np.nan}
    values |= {"ball_from_root": 45e-3, "tip_from_root": 50e-3, "protrusion": 0.6e-3, **changes}
    return Record(*(np.asarray(values[name], float) for name in Record._fields))


def random_bars(seed, count, **changes):
    rng = np.random.default_rng(seed)
    for _ in range(count):
        ball = rng.uniform(20e-3, 60e-3)
        full = rng.uniform(1.5e-3, 4.5e-3)
        chosen = {
            "youngs_modulus": rng.uniform(80e9, 210e9),
            "poissons_ratio": rng.uniform(0.25, 0.36),
            "thickness": full,
            "relief_thickness": full * rng.uniform(0.3, 1.0),
            "width": rng.uniform(3e-3, 15e-3),
            "relief_length": ball * rng.uniform(0.05, 0.9),
            "relief_side": rng.choice([-1.0, 0.0, 1.0]),
            "slab_root": rng.choice([0.0, 1.0]),
            "root_at_edge": rng.choice([0.0, 1.0]),
            "ball_from_root": ball,
            "protrusion": rng.uniform(0.2e-3, 0.8e-3),
        }
        yield bar(**(chosen | changes))


def shear_by_integration(record, end):
    """Shear deflection under a unit force: integral of dx/(kappa G A), Cowper's kappa, any strip of the bar."""
    nu = float(record.poissons_ratio)
    kappa = 10 * (1 + nu) / (12 + 11 * nu)
    rigidity = kappa * float(record.youngs_modulus) / (2 * (1 + nu)) * float(record.width)

    def thickness(x):
        return float(record.relief_thickness if x < record.relief_length else record.thickness)

    step = min(float(record.relief_length), end)
    return sum(quad(lambda x: 1 / (rigidity * thickness(x)), *ends)[0] for ends in ((0, step), (step, end)))
