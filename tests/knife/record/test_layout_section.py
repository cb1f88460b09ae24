"""The section `[layout]`: what it gives, what must agree, and what is refused with one clear line."""

import math
import random
import re
import tomllib
import tracemalloc

import pytest
from helpers.build_texts import told
from helpers.laid_out import BARE, LAID_OUT, LAYOUT, laid_out

import detentsim as ds
from detentsim.analysis.one_build.summary import summary
from detentsim.knife.model import Build
from detentsim.knife.record.layout.outlines import read_loop
from detentsim.show.one_build.layout.report import layout_report
from detentsim.units.errors import InputError


def test_the_ball_as_scribed_gives_three_sizes():
    build = laid_out()
    assert build.si("tang.pivot_to_ball") == pytest.approx(math.hypot(7e-3, 5e-3))
    assert build.si("bar.ball_from_root") == pytest.approx(47e-3)  # 50 mm to the lock face, 3 mm back
    # the tang moves square to the radius, which leans atan(5/7) from the bar; opening counterclockwise it passes the
    # ball toward the tip, so the ball travels over it toward the root
    assert build.si("tang.travel_angle") == pytest.approx(-math.atan2(5, 7))


def test_sizes_that_follow_move_with_what_they_follow_from():
    longer = laid_out().change({"bar.tip_from_root": "52 mm"})
    assert longer.si("bar.ball_from_root") == pytest.approx(49e-3)
    s = ds.sweep(laid_out(), {"tang.pivot_to_ball": ("7 mm", "9 mm", 3), "ball.material": ["zirconia", "ruby"]})
    assert (s["breakout_force"].m > 0).all()


def test_the_build_is_that_of_the_sizes_typed():
    sizes = f'pivot_to_ball = "{math.hypot(7, 5)} mm"\ntravel_angle = "{-math.atan2(5, 7)} rad"\n'
    text = BARE.replace("face_gap", f"{sizes}face_gap")
    typed = Build.loads(text.replace("tip_from_root", 'ball_from_root = "47 mm"\ntip_from_root'))
    one, two = ds.curve(laid_out()).results, ds.curve(typed).results
    assert one["breakout_force"] == pytest.approx(two["breakout_force"], rel=1e-12)


def test_sizes_given_twice_must_agree():
    def both(size):
        return BARE.replace("face_gap", f'pivot_to_ball = "{size}"\nface_gap') + LAYOUT

    assert Build.loads(both("8.6 mm")).si("tang.pivot_to_ball") == pytest.approx(8.6e-3)
    (line,) = told(both("8 mm"))
    assert "tang.pivot_to_ball: is 8 mm, but by [layout] it is 8.602 mm; give one of the two" in line


def test_inches_stay_inches():
    build = laid_out(('ball_from_lock_face = "3 mm"', 'ball_from_lock_face = "1/8 in"'))
    assert build.word("tang.pivot_to_ball").endswith(" in")


WRONG = [
    ('lock_face = "-4 mm"', "", "layout.lock_face: is missing"),
    ('chamfer = "0.3 mm"', "chamfer = 0.3", "layout.chamfer: 0.3 has no unit"),
    ('chamfer = "0.3 mm"', 'chamber = "0.3 mm"', "layout.chamber: is no key here; allowed are outline, holes"),
    ('["2 mm", "-9 mm"]', '["2 mm"]', "is no point; give two lengths"),
    ('["2 mm", "-9 mm"]', '["2 m", "-9 mm"]', "lies farther out than 0.5 m"),
    ('["2 mm", "-9 mm"]', '["-16 mm", "-8 mm"]', "is the point before it"),
    ('["2 mm", "-9 mm"]', '["-10 mm", "20 mm"]', "layout.outline: crosses itself near"),
    ('through = ["7.4 mm", "-5.2 mm"]', 'through = ["5.5 mm", "-4.2 mm"]', "lies in line with the ends of its arc"),
    ('through = ["7.4 mm", "-5.2 mm"]', 'radius = "3 mm", centre = "left"', "is too small to reach the edge's end"),
    ('through = ["7.4 mm", "-5.2 mm"]', 'radius = "9 mm"', "is half an arc"),
    ('through = ["7.4 mm", "-5.2 mm"]', "bulge = 0.4", "bulge: is no key here"),
    ('diameter = "4 mm"', 'diameter = "40 cm"', "is out of range"),
    ('{ called = "opener", centre', '{ called = "opener", middle', "middle: is no key here"),
    ('centre = ["0 mm", "0 mm"]', 'centre = "0 mm"', "is no point"),
    ('lock_face = "-4 mm"', 'lock_face = "-4 mm"\npivot = ["40 mm", "0 mm"]', "layout.pivot: lies outside the outline"),
    ('lock_face = "-4 mm"', 'lock_face = "-4 mm"\nopens = "left"', 'give "counterclockwise" or "clockwise"'),
    ('lock_face = "-4 mm"', 'lock_face = "-4 mm"\ndxf_unit = "mm"', "needs a drawing"),
    ('lock_face = "-4 mm"', 'lock_face = "-4 mm"\ndxf = "a.dxf"', "stands beside dxf"),
    ('diameter = "3 mm" }', 'diameter = "3 mm", fixed_in = "bar" }', 'give "handle" or "blade"'),
    (', diameter = "3 mm" }', "}", "layout.stop_pin.diameter: is missing"),
]


@pytest.mark.parametrize(("old", "new", "words"), WRONG, ids=[words for _, _, words in WRONG])
def test_what_is_refused(old, new, words):
    assert old in LAID_OUT
    lines = told(LAID_OUT.replace(old, new))
    assert any(words in line for line in lines), lines
    assert all("layout" in line for line in lines)


def test_every_problem_at_once():
    text = LAID_OUT.replace('bar_edge = "-9 mm"', "").replace('"4 mm"\nchamfer = "0.3 mm"', '"4 mm"\nchamfer = "x"')
    assert len(told(text)) == 2


def test_very_long_outlines_are_read_in_little_memory_or_told():
    def round_tang(count):
        turns = (2 * math.pi * i / count for i in range(count))
        points = ", ".join(f'["{20 * math.cos(t):.3f} mm", "{20 * math.sin(t):.3f} mm"]' for t in turns)
        return f"[layout]\noutline = [{points}]\n"

    assert any("layout.outline: has 4,001 points; give 4,000 at most" in line for line in told(round_tang(4001)))
    tracemalloc.start()
    loop = read_loop(tomllib.loads(round_tang(2000))["layout"]["outline"], "layout.outline", "outline")
    assert len(loop.pieces) == 2000
    assert tracemalloc.get_traced_memory()[1] < 50e6
    tracemalloc.stop()


def test_a_ball_level_with_the_pivot_travels_square_either_way():
    level = ('ball_from_edge = "4 mm"', 'ball_from_edge = "9 mm"')
    for way in ("counterclockwise", "clockwise"):
        assert laid_out(level, ("[layout]", f'[layout]\nopens = "{way}"')).word("tang.travel_angle") == "0 deg"


def test_a_section_that_is_none():
    assert "not a section" in told("layout = 3\n")[0]
    assert "not a section" in told("[[layout]]\npivot = 1\n")[0]


def test_an_arc_by_radius_is_the_arc_through_its_middle():
    """A quarter circle of 5 mm, its centre left of the way, then the same through its middle point."""
    arc = '{ to = ["4 mm", "6.2 mm"], radius = "5 mm", centre = "left" }'
    by_radius = laid_out(('["4 mm", "1.2 mm"],', f'["9 mm", "1.2 mm"], {arc},'))
    piece = by_radius.layout.loops[0].pieces[3]
    assert piece.centre == pytest.approx((4e-3, 1.2e-3))
    assert math.degrees(piece.sweep) == pytest.approx(90)


def test_changes_and_saving_keep_the_section(tmp_path):
    path = laid_out().change({"bar.bend": "1.7 mm"}).save(tmp_path / "new.toml")
    again = Build.read(path)
    assert again.layout.ball == laid_out().layout.ball
    assert again.si("bar.bend") == pytest.approx(1.7e-3)


JUNK = (
    *("1", '"x"', "[]", "{}", "true", '"-3 mm"', '["1 mm"]', '"1e400 mm"', "nan", '"0 mm"', '"0.4999 m"', "1979-05-27"),
    *('{ to = ["1 mm", "1 mm"] }', '["1 mm", "2 mm"]', '[["1 mm", "1 mm"], ["1 mm", "1 mm"]]', '"3 mm"', '""'),
)


@pytest.mark.slow
def test_rubbish_in_any_place_is_refused_or_laid_out():
    """Values replaced at random: one clear line each, or a layout whose report fits a page; never a traceback."""
    rng, made = random.Random(18), 0
    for _ in range(150):
        text = LAYOUT
        for _ in range(rng.randint(1, 3)):
            spot = rng.choice(list(re.finditer(r'"[^"]*"|\[[^\[\]]*\]|\{[^{}]*\}', text)))
            text = text[: spot.start()] + rng.choice(JUNK) + text[spot.end() :]
        try:
            found = ds.layout(Build.loads(BARE + text))
        except InputError as error:
            lines = str(error).split("\n")
        else:
            made, lines = made + 1, []
            assert layout_report(found, summary(found.build)).count("\n") <= 30
        assert all(len(line) < 500 and line.isprintable() for line in lines)
    assert made > 3
