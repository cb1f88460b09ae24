"""Falls that bounds settle: never against the fall followed along its path, and no ball resists more than the bound."""

import numpy as np
import pytest
from helpers.scattered import scatter

import detentsim as ds
from detentsim.mechanics.motion import in_motion, pivot, resistance
from detentsim.mechanics.motion.settled import most_resistance, settled
from detentsim.mechanics.record import Record, last_axis
from detentsim.mechanics.response import respond, starts

MANY = 1500


def anyhow(seed):
    """Designs in any attitude, let go anywhere, of light and heavy blades, on pins of any play."""
    rng, record = np.random.default_rng(seed), scatter(MANY, seed)
    return record._replace(
        close_from=rng.uniform(0, np.pi, MANY) * rng.choice([0.1, 1.0], MANY),
        down_angle=rng.uniform(-np.pi, np.pi, MANY),
        tilt=rng.uniform(-1.5, 1.5, MANY),
        blade_mass=10 ** rng.uniform(-3, 0, MANY),
        friction_circle=rng.choice([0.0, 0.3e-3, 9e-3], MANY),
    )


def beside(seed):
    """Designs as above whose dimples lie far beside the ball's way, with balls that nothing or much rubs."""
    rng, record = np.random.default_rng(seed), anyhow(seed)
    return record._replace(
        radial_error=rng.uniform(-0.4e-3, 0.4e-3, MANY), friction=rng.choice([0.0, 0.1, 0.8, 1.2], MANY)
    )


@pytest.fixture(scope="module", params=[anyhow, beside], ids=["anyhow", "beside"])
def followed(request):
    """All designs' starts and ways, whether each fall stops, and what is settled of them."""
    start = starts(respond(request.param(31)))
    rows, way, flight = in_motion.fall(start)
    assert rows.size == MANY
    told = settled(start.load, start.phi, start.rest)
    return start, way, resistance.stops(flight.energy), [np.broadcast_to(truth, MANY) for truth in told]


def test_no_settled_fall_ends_otherwise_along_its_path(followed):
    _, _, stops, (shuts, hangs) = followed
    assert not np.any(shuts & stops)
    assert not np.any(hangs & ~stops)


def test_falls_of_either_kind_are_settled(followed):
    _, _, stops, (shuts, hangs) = followed
    assert np.count_nonzero(shuts) > 0.3 * np.count_nonzero(~stops) > 30
    assert np.count_nonzero(hangs) > 0.8 * np.count_nonzero(stops) > 300


def test_of_knives_made_to_one_drawing_hardly_any_fall_is_left_to_follow():
    start = starts(respond(ds.batch(ds.demo(), 512, of="breakout_force").found.record))
    shuts, hangs = settled(start.load, start.phi, start.rest)
    assert np.count_nonzero(shuts) > 100
    assert np.count_nonzero(hangs) > 100
    assert np.count_nonzero(shuts | hangs) >= 508


def test_nothing_on_the_way_shut_resists_more_than_the_bound(followed):
    start, way, _, _ = followed
    record = Record(*(np.broadcast_to(field, MANY) for field in start.load.record))
    felt = way.resist - pivot.gravity_torque(last_axis(record, 2), way.theta)
    turns = way.theta[..., :1] > way.theta[..., -1:]
    bound = most_resistance(start.load, start.phi, start.rest)
    assert np.isfinite(bound).mean() > 0.6
    assert np.all(~turns | (felt <= bound[:, None, None] * (1 + 1e-12) + 1e-15))


@pytest.mark.parametrize("changes", [{"burr_height": 0.01e-3}, {"elastic_rim": 1.0}])
def test_a_burr_or_an_elastic_rim_settles_nothing(changes):
    record = scatter(50, 3)._replace(**{name: np.full(50, value) for name, value in changes.items()})
    start = starts(respond(record))
    assert not np.any(np.logical_or(*settled(start.load, start.phi, start.rest)))


def test_a_settled_result_is_that_of_every_fall_followed():
    record = anyhow(32)
    short = respond(record, ("falls_shut",)).results["falls_shut"]
    hung = respond(record, ("falls_shut", "hang_angle")).results
    whole = respond(record, ("falls_shut", "hang_angle", "closing_spare")).results
    np.testing.assert_array_equal(short, whole["falls_shut"])
    np.testing.assert_array_equal(hung["falls_shut"], whole["falls_shut"])
    np.testing.assert_allclose(hung["hang_angle"], whole["hang_angle"], rtol=0, atol=1e-12)


def test_a_blade_of_unknown_weight_neither_falls_nor_hangs():
    record = scatter(20, 5)._replace(blade_mass=np.where(np.arange(20) % 2, np.nan, 0.03))
    falls = respond(record, ("falls_shut",)).results["falls_shut"]
    np.testing.assert_array_equal(np.isnan(falls), np.arange(20) % 2 == 1)
