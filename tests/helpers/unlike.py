"""Builds as unlike as their verdicts: sound, too heavy a blade, beside its dimple, bent too far, locked, off target."""

from functools import cache

import detentsim as ds
from detentsim.analysis.in_hand.advise.advise import advise
from helpers.garden import workshop

# Changes of the garden folder, and the checks of its verdict that are bad then.
UNLIKE = {
    "as drawn": ({}, ()),
    "heavy blade": ({"blade.mass": "180 gram", "blade.inertia": "300 kg*mm**2", "bar.bend": "0.6 mm"}, ("stays shut",)),
    "misses its dimple": ({"dimple.overclose": "0.8 mm"}, ("warnings", "target", "stays shut")),
    "bent too far": ({"bar.bend": "7 mm"}, ("warnings", "limits", "target")),
    "locks": ({"friction.ball_on_tang": 1.2, "dimple.rim_feed": "0.3 mm"}, ("warnings", "target")),
    "off target": ({"bar.bend": "1.2 mm"}, ("target",)),
    "the demo": (None, ()),
}


@cache
def unlike(name):
    """The build of a name."""
    changes, _ = UNLIKE[name]
    return ds.demo() if changes is None else workshop().change(changes)


@cache
def unlike_advised(name, want=None):
    """Advice on it, for its own target or a customer's word."""
    return advise(unlike(name), want)
