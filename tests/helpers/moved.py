"""Motions of a build, each solved once."""

from functools import cache

import detentsim as ds
from helpers.garden import workshop

BUILD = workshop()


STAYS = {"pivot.friction_torque": "200 N*mm"}


HANGS = {"attitude.down_angle": "0 deg", "opener.leaves_at": "20 deg"}


EARLY = {"opener.leaves_at": "0.1 deg"}


WEAK = {"finger.effort": 0.5}


STUCK = {
    "finger.effort": 1.0,
    "finger.speed_limit": "0.3 m/s",
    "opener.leaves_at": "110 deg",
    "pivot.friction_torque": "90 N*mm",
}


COASTS = {"opener.leaves_at": "20 deg"}


AWRY = {"opener.push_angle": "170 deg"}


LOCKS = {"friction.ball_on_tang": 0.9}


HELD_OPEN = {"attitude.down_angle": "170 deg"}


def motion(changes=None):
    return _motion(tuple((changes or {}).items()))


@cache
def _motion(changes):
    return ds.motion(BUILD.change(dict(changes)))
