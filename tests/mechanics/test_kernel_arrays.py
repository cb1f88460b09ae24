"""Many designs in one call: the same numbers, gaps and flags as one call each, and shapes that broadcast."""

import numpy as np
import pytest
from helpers.records import DEMO, demo, dig
from helpers.scattered import SPREAD, scatter

from detentsim.mechanics.names import LIMIT_NAMES
from detentsim.mechanics.record import Record
from detentsim.mechanics.response import respond

MANY = 10_000
BESIDE = 499
FAR_TOO_SOFT = slice(20, 40)
ONE_BY_ONE = 200


@pytest.fixture(scope="module")
def many():
    record = scatter(MANY, 51, elastic=True)
    # A few dimples far out of place, and a few bars that give far too much sideways.
    record.radial_error[:20] = 1.3e-3
    record.lateral_compliance[FAR_TOO_SOFT] = 0.1
    # What is left out of every other scatter, on every third knife.
    rng = np.random.default_rng(55)
    for field, most in (
        (record.friction_circle, 0.4e-3),
        (record.burr_height, 0.03e-3),
        (record.inner_edge_radius, 2e-5),
    ):
        field[::3] = rng.uniform(0, most, field[::3].size)
    return record, respond(record)


def test_every_field_varies(many):
    record, _ = many
    assert set(SPREAD) == set(Record._fields) == set(DEMO)
    for name, field in zip(Record._fields, record, strict=True):
        assert field.shape == (MANY,)
        assert len(set(field.tolist())) > 1, name


def same(response, chosen, results, flags):
    """Chosen designs of the one call against the same designs solved otherwise."""
    for name, value in response.results.items():
        assert value.shape == (MANY,)
        # A sum in another order may differ in its last digits, a solver stops within its own last step.
        scale = np.nanmedian(np.abs(value))
        np.testing.assert_allclose(value[chosen], results[name], rtol=1e-9, atol=1e-11 * scale, err_msg=name)
    for name, flag in response.flags.items():
        assert flag.dtype == bool
        np.testing.assert_array_equal(flag[chosen], flags[name], err_msg=name)


@pytest.mark.slow
def test_one_call_equals_single_calls(many):
    record, response = many
    chosen = np.random.default_rng(52).choice(MANY, ONE_BY_ONE, replace=False)
    singles = [respond(dig(record, i)) for i in chosen]
    results = {name: [float(one.results[name]) for one in singles] for name in response.results}
    same(response, chosen, results, {name: [bool(one.flags[name]) for one in singles] for name in response.flags})


@pytest.mark.slow
def test_every_design_is_the_same_beside_others(many):
    """All again in another order, some five hundred in a call.

    Left out are bars so soft sideways that the blade turns round and round: of one, rounding decides whether it snaps.
    """
    record, response = many
    order = np.random.default_rng(56).permutation(np.delete(np.arange(MANY), FAR_TOO_SOFT))
    parts = [respond(Record(*(field[part] for field in record))) for part in order.reshape(-1, BESIDE)]
    results = {name: np.concatenate([part.results[name] for part in parts]) for name in response.results}
    flags = {name: np.concatenate([part.flags[name] for part in parts]) for name in response.flags}
    same(response, order, results, flags)


@pytest.mark.slow
def test_limits_of_many_equal_single_calls():
    record = scatter(400, 54)
    limits = respond(record, LIMIT_NAMES).results
    assert set(LIMIT_NAMES) <= set(limits)
    for i in range(0, 400, 10):
        single = respond(dig(record, i), LIMIT_NAMES).results
        for name in LIMIT_NAMES:
            np.testing.assert_allclose(limits[name][i], single[name], rtol=1e-9, err_msg=name)
    for name in ("push_for_bend", "springback", "lockup_force", "travel_to_unlock"):
        assert 0 < np.count_nonzero(np.isnan(limits[name])) < 400, name


def test_the_sample_reaches_every_flag_and_every_gap(many):
    _, response = many
    for name, flag in response.flags.items():
        assert 0 < np.count_nonzero(flag) < MANY, name
    for name in ("lateral_stiffness", "contact_angle", "pull_in_angle", "breakout_force", "breakout_torque", "lash"):
        assert 0 < np.count_nonzero(np.isnan(response.results[name])) < MANY, name
    assert not any(np.any(np.isinf(value)) for value in response.results.values())


def test_single_design_gives_results_without_axes():
    response = respond(demo())
    assert all(np.shape(value) == () for value in response.results.values())
    assert all(np.shape(flag) == () for flag in response.flags.values())


def test_fields_broadcast_against_each_other():
    feed = np.linspace(0, 0.15e-3, 31)[:, None]
    bend = np.linspace(0, 3e-3, 41)
    response = respond(demo(rim_feed=feed, bend=bend))
    for name, value in (response.results | response.flags).items():
        assert value.shape == (31, 41), name
    for i, j in ((0, 0), (3, 7), (15, 40), (30, 20)):
        single = respond(demo(rim_feed=feed[i, 0], bend=bend[j]))
        for name, value in response.results.items():
            np.testing.assert_allclose(value[i, j], single.results[name], rtol=1e-9, err_msg=name)
        for name, flag in response.flags.items():
            assert flag[i, j] == single.flags[name], name


def test_three_axes_and_an_axis_of_one():
    response = respond(
        demo(
            rim_feed=np.array([0, 0.1e-3, 0.16e-3])[:, None, None],
            overclose=np.array([[-0.01], [0.03]]),
            friction=np.array([[[0.1]]]),
            static_friction=np.array([0.1, 0.12, 0.15, 0.2]),
        )
    )
    assert response.results["breakout_force"].shape == (3, 2, 4)
    single = respond(demo(rim_feed=0.16e-3, overclose=0.03, friction=0.1, static_friction=0.2))
    for name, value in response.results.items():
        np.testing.assert_allclose(value[2, 1, 3], single.results[name], rtol=1e-9, err_msg=name)


def test_no_designs_at_all():
    response = respond(demo(bend=np.empty(0)))
    assert all(value.shape == (0,) for value in response.results.values())


def test_shapes_that_do_not_fit_are_refused():
    with pytest.raises(ValueError, match="broadcast"):
        respond(demo(bend=np.ones(3), rim_feed=np.ones(4)))


def test_a_call_leaves_its_record_alone():
    record = scatter(50, 53)
    before = [np.array(field) for field in record]
    respond(record)
    for old, new in zip(before, record, strict=True):
        np.testing.assert_array_equal(old, new)
