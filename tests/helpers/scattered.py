"""Random designs with every field of the record varied, for tests of many designs in one call."""

import numpy as np

from detentsim.mechanics.record import Record
from helpers.records import demo

SPREAD = {  # every field of the record, low and high
    "youngs_modulus": (70e9, 210e9),
    "poissons_ratio": (0.25, 0.36),
    "yield_strength": (250e6, 1300e6),
    "thickness": (2.2e-3, 4e-3),
    "width": (5e-3, 11e-3),
    "relief_thickness": (0.9e-3, 1.7e-3),
    "relief_length": (6e-3, 15e-3),
    "relief_side": (-1, 0, 1),
    "slab_root": (0, 1),
    "root_at_edge": (0, 1),
    "ball_from_root": (38e-3, 46e-3),
    "tip_from_root": (47e-3, 55e-3),
    "bend": (0.0, 3e-3),
    "bend_along": (0, 1),
    "bend_at": (np.nan, 2e-3, 6e-3),
    "bend_push_at": (20e-3, 47e-3),
    "reverse_yield": (0.6, 1.0),
    "pushed_back": (0.0, 3e-3),
    "stop_gap": (*(np.inf,) * 60, 0.0, 1e-3),
    "stop_from_root": (38e-3, 47e-3),
    "lockup_travel": (np.nan, 0.0, 0.3e-3, 0.8e-3),
    "calibration": (0.75, 1.25),
    "lateral_compliance": (np.nan, 0.0, 1e-6, 1e-5),
    "ball_radius": (0.7e-3, 0.95e-3),
    "protrusion": (0.35e-3, 0.75e-3),
    "ball_modulus": (200e9, 630e9),
    "ball_poisson": (0.2, 0.3),
    "pilot_radius": (0.55e-3, 0.72e-3),
    "pilot_depth": (0.05e-3, 0.9e-3),
    "pilot_tangent": (1.2, 2.4),
    "rim_radius": (0.72e-3, 0.97e-3),
    "rim_feed": (0.0, 0.35e-3),
    "rim_tangent": (1.2, 2.4),
    "edge_radius": (0.0, 0.06e-3),
    "burr_height": (0.0, 0.0),
    "inner_edge_radius": (0.0, 0.0),
    "elastic_rim": (0, 1),
    "overclose": (-0.02, 0.05),
    "radial_error": (-0.1e-3, 0.1e-3),
    "pivot_to_ball": (5e-3, 12e-3),
    "face_gap": (0.2e-3, 0.9e-3),
    "tang_modulus": (190e9, 215e9),
    "tang_poisson": (0.27, 0.30),
    "tang_hardness": (560, 800),
    "travel_angle": (-0.5, 0.5),
    "pivot_torque": (0.0, 3e-3),
    "washer_friction": (0.0, 0.2),
    "washer_radius": (0.0, 12e-3),
    "friction_circle": (0.0, 0.0),
    "opener_radius": (10e-3, 22e-3),
    "push_angle": (-1.7, 1.7),
    "push_follows": (0, 1),
    "friction": (0.0, 0.25),
    "static_friction": (0.0, 0.3),
    "grip_force": (0.0, 5.0),
    "grip_from_root": (38e-3, 55e-3),
    "open_angle": (2.6, 3.2),
    "blade_mass": (0.015, 0.04),
    "balance_radius": (0.02, 0.05),
    "tilt": (0.0, 1.5),
    "down_angle": (-3.0, 3.0),
    "close_from": (0.1, 3.0),
    "blade_inertia": (np.nan, 2e-5, 5e-5),
    "leaves_at": (np.nan, 0.6, 1.2),
    "finger_effort": (1.0, 1.3),
    "finger_speed": (0.75, 3.0),
    "finger_shape": (0.15, 0.5),
}
CHOICES = {
    "relief_side",
    "slab_root",
    "root_at_edge",
    "bend_along",
    "bend_at",
    "lateral_compliance",
    "push_follows",
    "lockup_travel",
    "stop_gap",
    "blade_inertia",
    "leaves_at",
}
# Fields with tests of their own, 0 here.
APART = {"friction_circle", "burr_height", "inner_edge_radius"}
OFTEN_ZERO = {"bend", "rim_feed", "edge_radius", "radial_error", "friction", "overclose", "grip_force", "pushed_back"}


def scatter(n, seed, elastic=False):
    """`n` designs with every field varied; parts that may be missing are missing in every fifth or so.

    The rims of all are rigid, or where `elastic` those of every other one.
    """
    every = np.random.default_rng(seed)
    stop = np.random.default_rng(seed + 1000)
    values = {}
    for name in Record._fields:
        ends, rng = SPREAD[name], stop if name.startswith("stop_") else every
        if name in APART:
            values[name] = np.zeros(n)
            continue
        if name == "elastic_rim":
            values[name] = np.arange(n) % 2.0 * elastic
            continue
        values[name] = rng.choice(ends, n) if name in CHOICES else rng.uniform(*ends, n)
        if name in OFTEN_ZERO:
            values[name] *= rng.random(n) < 0.8
    values["static_friction"] = np.maximum(values["static_friction"], values["friction"])
    return demo(**values)
