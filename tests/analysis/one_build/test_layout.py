"""The ball's path on the tang of a build: its clearances, where it drops off, what is wrong, other places.

Expected numbers are worked out by hand from the drawing in `helpers/laid_out.py`.
"""

import math
import re

import numpy as np
import pytest
from helpers.garden import garden
from helpers.laid_out import laid_out

import detentsim as ds
from detentsim.analysis.one_build.layout.clearances import ball_hole
from detentsim.analysis.one_build.summary import summary
from detentsim.show.one_build.layout.words import way_words
from detentsim.units.errors import InputError

ARM = math.hypot(7, 5)  # pivot to ball [mm]


@pytest.fixture(scope="module")
def found():
    return ds.layout(laid_out())


def row(found, name):
    return next(c for c in found.clearances if c.name == name)


def kinds(found):
    return [(fault.kind, fault.state) for fault in found.faults]


def test_a_straight_edge_and_a_round_hole_by_hand(found):
    top = row(found, "outline")
    assert top.contact == pytest.approx(10 - ARM)  # the top edge lies 10 mm over the pivot, straight above it
    start = math.degrees(math.atan2(-5, -7)) % 360
    assert top.angle == pytest.approx(start - 90)
    assert top.flat == pytest.approx(10 - ARM - 0.3)
    pivot = row(found, "pivot")
    assert pivot.contact == pytest.approx(ARM - 2.5)
    opener = row(found, "opener")
    assert opener.contact == pytest.approx(math.hypot(13, 6) - ARM - 2)
    assert opener.angle == pytest.approx(start - math.degrees(math.atan2(6, -13)))


def test_where_the_ball_drops_off_by_hand(found):
    off = found.drops_off
    assert (off.left_by, off.last, off.end) == ("lock face", True, pytest.approx(180))
    start = math.degrees(math.atan2(-5, -7)) % 360
    assert off.start == pytest.approx(start - math.degrees(math.acos(3.7 / ARM)))  # the flat ends 0.3 mm before x = 4
    assert row(found, "lock face").leaves
    assert row(found, "lock face").flat == pytest.approx(0, abs=1e-9)


def test_the_step_is_what_the_bar_lets_the_ball_sink(found):
    build, c = found.build, ds.curve(found.build)
    sunk = c.results["free_offset"] + (build.si("ball.protrusion") - build.si("tang.face_gap")) * 1e3
    assert found.sinks == pytest.approx(min(build.si("ball.protrusion") * 1e3, sunk))
    off = found.drops_off
    assert off.step == pytest.approx(found.sinks)
    ball = build.si("ball.diameter") * 500
    by_hand = math.degrees(math.acos((ball - off.step + 0.3) / ball))  # on the lower lip of a chamfer of 45 degrees
    assert off.climb == pytest.approx(by_hand)
    assert off.climb > 45


def test_the_dimple_lies_where_the_blade_was_held(found):
    turn = math.radians(0) + 0.05 / ARM  # over-close 0.05 mm at the ball, opening is counterclockwise
    x, y = found.rim.centre * 1e3
    expected = complex(-7, -5) * complex(math.cos(turn), math.sin(turn))
    assert (x, y) == pytest.approx((expected.real, expected.imag))
    assert found.rim.radius * 2e3 == pytest.approx(ds.curve(found.build).results["rim_diameter"])
    lower = row(found, "outline").rim  # the lower edge falls 1 mm on 18
    normal = np.array([1, 18]) / math.hypot(1, 18)
    by_hand = float(np.dot(np.array([x, y]) - (-16, -8), normal)) - found.rim.radius * 1e3
    assert lower == pytest.approx(by_hand)


def test_a_sound_layout_says_so_in_every_verdict(found):
    assert found.sound
    assert kinds(found) == []
    assert summary(found.build)["layout"].state == "good"


WRONG = [
    ("breaks_out", '["-13 mm", "6 mm"], diameter = "4 mm"', '["-9 mm", "-5 mm"], diameter = "3 mm"'),
    ("chamfer_cuts", 'chamfer = "0.3 mm"', 'chamfer = "3.2 mm"'),
    ("drops_off", '["-13 mm", "6 mm"], diameter = "4 mm"', '["-8 mm", "3 mm"], diameter = "1 mm"'),
    ("crosses_pin", 'at = ["-2 mm", "-11 mm"]', 'at = ["-9 mm", "1 mm"]'),
    ("stays_on", '["4 mm", "1.2 mm"]', '["9 mm", "9 mm"]'),
    ("off_bar", 'ball_from_edge = "4 mm"', 'ball_from_edge = "0.6 mm"'),
]


@pytest.mark.slow
@pytest.mark.parametrize(("kind", "old", "new"), WRONG, ids=[kind for kind, _, _ in WRONG])
def test_what_cannot_stay_is_bad_in_every_verdict(kind, old, new):
    build = laid_out((old, new))
    bad = ds.layout(build)
    assert (kind, "bad") in kinds(bad)
    assert not bad.sound
    check = summary(build)["layout"]
    assert check.state == "bad"
    words = next(fault.words for fault in bad.faults if fault.kind == kind)
    assert words in check.words
    for verdict in (ds.curve(build).summary, ds.motion(build).summary):
        assert words in verdict["layout"].words
        assert "the layout is wrong" in verdict.words


def test_a_small_hole_lets_the_ball_sink_by_its_sagitta():
    """Round hole under the ball's middle: `R - sqrt(R^2 - a^2)`, here on the way and narrower than the ball."""
    spot = complex(-7, -5) * complex(math.cos(-0.6), math.sin(-0.6))
    where = f'["{spot.real:.9f} mm", "{spot.imag:.9f} mm"], diameter = "1 mm", chamfer = "0 mm"'
    drop = ds.layout(laid_out(('["-13 mm", "6 mm"], diameter = "4 mm"', where))).drops[0]
    ball = 25.4 / 32
    assert drop.step == pytest.approx(ball - math.sqrt(ball**2 - 0.25), rel=1e-3)
    half = 2 * math.asin(0.25 / ARM)  # where a circle about a point of the way meets it
    assert (drop.start, drop.end) == pytest.approx(np.degrees([0.6 - half, 0.6 + half]))
    assert (drop.left_by, drop.back_by, drop.last) == ("opener", "opener", False)


def test_a_drawing_turned_over_gives_the_same(found):
    """Mirrored across the bar, with the other sense of opening and the ball scribed from the other edge."""
    text = found.build.text

    def mirrored(match):
        return f'["{match[1]} mm", "{-float(match[2]):g} mm"]'

    other = re.sub(r'\["([-\d.]+) mm", "([-\d.]+) mm"\]', mirrored, text)
    other = other.replace('bar_edge = "-9 mm"', 'bar_edge = "9 mm"\nscribed_edge = "upper"\nopens = "clockwise"')
    same = ds.layout(ds.Build.loads(other))
    for one, two in zip(found.clearances, same.clearances, strict=True):
        assert (one.contact, one.angle, one.rim) == pytest.approx((two.contact, two.angle, two.rim))
    assert same.drops_off.start == pytest.approx(found.drops_off.start)
    assert same.section.travel_angle == pytest.approx(found.section.travel_angle)


@pytest.mark.slow
def test_torque_goes_with_the_radius_and_breakout_is_the_whole_models(found):
    p = found.places
    here = ds.curve(found.build).results
    np.testing.assert_allclose(p.torque / p.radius, here["breakout_torque"] / ARM, rtol=1e-9)
    i, j = 12, 6
    moved = laid_out(
        ('ball_from_lock_face = "3 mm"', f'ball_from_lock_face = "{p.from_lock_face[j]:.9f} mm"'),
        ('ball_from_edge = "4 mm"', f'ball_from_edge = "{p.from_edge[i]:.9f} mm"'),
    )
    assert ds.curve(moved).results["breakout_force"] == pytest.approx(p.breakout[i, j], rel=1e-6)


@pytest.mark.slow
def test_the_best_place_is_sound_and_has_its_margin(found):
    best, here = found.places.best, found.places.here
    assert best.margin > here.margin
    assert 9 <= best.breakout <= 13  # the build's target
    there = ds.layout(
        laid_out(
            ('ball_from_lock_face = "3 mm"', f'ball_from_lock_face = "{best.from_lock_face:.9f} mm"'),
            ('ball_from_edge = "4 mm"', f'ball_from_edge = "{best.from_edge:.9f} mm"'),
        )
    )
    assert there.sound
    assert there.places.here.margin == pytest.approx(best.margin)
    rows = [c.rim_to_chamfer for c in there.clearances] + [wall.left for wall in there.walls]
    assert best.margin <= min(rows) + 1e-9


@pytest.mark.slow
def test_feasible_on_the_map_is_sound_by_itself(found):
    """Places of the map, each laid out by itself: none feasible is bad, none sound is hatched."""
    p, rng = found.places, np.random.default_rng(3)
    feasible = p.margin > 0
    assert 0.1 < feasible.mean() < 0.9
    for i, j in zip(rng.integers(0, p.margin.shape[0], 25), rng.integers(0, p.margin.shape[1], 25), strict=True):
        one = ds.layout(
            laid_out(
                ('ball_from_lock_face = "3 mm"', f'ball_from_lock_face = "{p.from_lock_face[j]:.9f} mm"'),
                ('ball_from_edge = "4 mm"', f'ball_from_edge = "{p.from_edge[i]:.9f} mm"'),
            )
        )
        if abs(p.margin[i, j]) > 1e-9:  # on the map's own edge the hole just touches that of the bar
            assert one.sound == feasible[i, j], (i, j, one.faults)


def test_overclose_is_one_angle_read_at_three_places():
    shape = 'length = "75 mm"\nroot_width = "22 mm"\ntip_width = "4 mm"\nthickness = "3 mm"'
    build = laid_out(('balance_radius = "34 mm"', f'balance_radius = "34 mm"\n{shape}'))
    readings = {one.where: one for one in ds.layout(build).overclose}
    angle = 0.05 / ARM
    assert readings["ball"].moves == pytest.approx(0.05)
    assert readings["blade's tip"].moves == pytest.approx(75 * angle)
    assert readings["stop"].moves == pytest.approx(math.hypot(2, 11) * angle)
    tip = readings["blade's tip"]
    assert tip.leaf == pytest.approx(0.45)  # of 0.40, 0.45 and 0.50 mm
    assert tip.gives == pytest.approx(0.45 * ARM / 75)


def test_without_a_layout_there_is_none():
    with pytest.raises(InputError, match="section \\[layout\\] is missing"):
        ds.layout(garden())
    assert [check.name for check in summary(garden()).checks].count("layout") == 0


@pytest.mark.parametrize(("key", "place"), [("ball_from_edge", "40 mm"), ("lock_face", "-40 mm")])
def test_a_ball_off_the_tang_has_no_dimple_that_breaks_into_anything(key, place):
    """Its distances from every edge and hole would only repeat, in large numbers, that it lies outside."""
    typed = {"ball_from_edge": "4 mm", "lock_face": "-4 mm"}[key]
    found = ds.layout(laid_out((f'\n{key} = "{typed}"', f'\n{key} = "{place}"')))
    names = [fault.kind for fault in found.faults]
    assert "beside_tang" in names
    assert "breaks_out" not in names
    assert any("nothing to drill its dimple in" in fault.words for fault in found.faults)
    assert way_words(found) == "It is off the tang from the start."


@pytest.mark.parametrize("across", ["4 mm", "1.8 mm", "6.5 mm"])
def test_the_metal_round_the_ball_ends_at_the_edge_that_its_walls_name(across):
    """The press fit of `limits` takes the ring of metal that the layout leaves."""
    build = laid_out(('ball_from_edge = "4 mm"', f'ball_from_edge = "{across}"'))
    left = min(wall.left for wall in ds.layout(build).walls)
    assert ds.limits(build).hold.around / 2 == pytest.approx(left + 1e3 * ball_hole(build))
