"""Bars bent in and let go, each as a row of fibres and as the record that knows only the bend left in it."""

from typing import NamedTuple

import numpy as np

from detentsim.mechanics.record import Record
from helpers.fibres import Bar, Row
from helpers.records import demo

TIP, BALL = 50e-3, 44e-3
CLOSE, LITTLE = 1e-4, 2e-6  # what fibres leave: of an offset, and of one bent to first yield all along

THIN_STEP = {"relief_thickness": 2.8e-3, "relief_length": 4e-3}
ONE = {"relief_thickness": 1.2e-3, "thickness": 1.2e-3, "relief_length": TIP}
BENT = {  # shape and metal, root moment of the push that bends it in (of relief and bar alike where bent along)
    "lightly": ({}, 1.1),
    "usual": ({}, 1.32),
    "far": ({}, 1.45),
    "thin step": (THIN_STEP, 1.4),
    "pushed short of the ball": ({"bend_push_at": 31e-3}, 1.35),
    "one thickness": (ONE, 1.3),
    "along": (ONE | {"bend_along": 1}, 1.15),
    "along, in two parts": ({"bend_along": 1, "relief_thickness": 2.6e-3}, 1.2),
    "weaker in reverse": ({"reverse_yield": 0.8}, 1.3),
    "thin step, weaker": (THIN_STEP | {"reverse_yield": 0.7}, 1.25),
    "along, weaker": (ONE | {"bend_along": 1, "reverse_yield": 0.85}, 1.2),
}


class Made(NamedTuple):
    """A bar bent in and let go, as fibres and as the record that knows only the bend it was left."""

    bar: Bar
    record: Record


def make(name):
    """Bend one bar of the list in."""
    changes, moment = BENT[name]
    one = demo(**changes)
    if not one.bend_along:
        bar = Bar(one).push(moment, float(one.bend_push_at)).let_go()
        return Made(bar, one._replace(bend=np.asarray(bar.offset(TIP))))
    # An even bend: the full bar gets the moment that leaves it the relief's curvature.
    left = float(Row(1).load(moment).left()[0])
    bar = Bar(one)
    far = far_moment(left / bar.thin)
    bar.put(moment, far).let_go()
    return Made(bar, one._replace(bend=np.asarray(bar.offset(TIP))))


def far_moment(left):
    """Moment that leaves one section this curvature, by halving."""
    low, high = 1.0, 1.4999
    for _ in range(45):
        middle = (low + high) / 2
        low, high = (middle, high) if Row(1).load(middle).left()[0] < left else (low, middle)
    return low


def close(found, expected, one, part=CLOSE):
    """Offsets that agree, near enough for fibres."""
    whole = 2 * one.yield_strength / (one.youngs_modulus * one.relief_thickness) * TIP**2
    np.testing.assert_allclose(found, expected, rtol=part, atol=LITTLE * float(whole))
