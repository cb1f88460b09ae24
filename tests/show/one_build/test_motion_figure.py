"""Figures of motion as pages: no words collide, every kind of throw draws, and the foot says the verdict."""

import matplotlib
import pytest
from helpers.drawn_motions import BUILDS, OPENS, STALLS, axes, made, open_angle, page, under
from helpers.drawn_pages import check_page, check_same_bytes, notebook_axes
from helpers.drawn_parts import words
from helpers.words import check_words

from detentsim.analysis.one_build.motion.motion import motion as compute
from detentsim.knife.model import Build
from detentsim.knife.outcomes import FLAGS
from detentsim.knife.packaged import demo, demo_text
from detentsim.show import attitudes, blade_strip, energy, motion_figure, speed
from detentsim.show.one_build.motion.strip import two_deg
from detentsim.units.numbers import two_digits

pytestmark = pytest.mark.slow  # every test here draws or solves what costs seconds
DRAWN = {"speed": speed, "energy": energy, "strip": blade_strip, "attitudes": attitudes}


# What all share


@pytest.mark.parametrize("name", BUILDS)
def test_no_words_collide_and_none_are_cut_off(name):
    figure = page(name)
    assert check_words(figure) > 20


@pytest.mark.parametrize("name", BUILDS)
def test_a_page_wide_nothing_smaller_than_seven_points_and_units_on_every_scale(name):
    figure = page(name)
    check_page(figure)
    strip, fast, mj, row = figure.axes[:4]
    assert (fast.get_ylabel(), mj.get_ylabel()) == ("blade speed [rad/s]", "energy [mJ]")
    assert (fast.get_xlabel(), mj.get_xlabel()) == ("", "blade angle [deg]")
    assert fast.get_xlim() == mj.get_xlim()
    assert fast.get_position().x0 == mj.get_position().x0
    assert not strip.axison
    assert not row.axison
    assert mj.get_xlim()[1] > open_angle(name)
    assert all(text.get_text() == "" for ax in (fast, mj) for text in [ax.yaxis.get_offset_text()])


@pytest.mark.parametrize("draw", DRAWN.values(), ids=DRAWN)
def test_axes_are_taken_and_returned_and_settings_left_alone(draw):
    ax, before = axes(), dict(matplotlib.rcParams)
    assert draw(made("demo"), ax) is ax
    assert dict(matplotlib.rcParams) == before


@pytest.mark.parametrize("draw", DRAWN.values(), ids=DRAWN)
@pytest.mark.parametrize("name", ["demo", "coasts", "weak", "floats", "no mass"])
def test_without_axes_a_notebook_gets_a_figure_that_can_be_read(draw, name, monkeypatch):
    with notebook_axes(monkeypatch, lambda: draw(made(name))) as ax:
        check_words(ax.figure)


def test_same_figure_gives_the_same_bytes(tmp_path):
    """SVG, which names its parts; the figure of the curve is tried in every format."""
    check_same_bytes(tmp_path, "svg", lambda: motion_figure(made("demo")))


def test_builds_here_do_what_they_are_named_for():
    for name in OPENS:
        assert made(name).opens_fully is True
    for name, kind in STALLS.items():
        assert made(name).opens_fully is False
        assert made(name).opening.stall == kind
    assert made("floats").opens_fully is None
    assert made("no mass").attitudes == ()
    assert made("coasts").flags


@pytest.mark.parametrize("name", BUILDS)
def test_foot_gives_the_verdict_over_finger_speeds_and_the_flags(name):
    found, said = made(name), under(name)
    for one in found.opening.speeds:
        (told,) = [
            part for part in page(name).texts[1].get_text().splitlines() if f" at {two_digits(one.limit)} m/s" in part
        ]
        if one.opens:
            assert told.endswith(f"opens in {one.time * 1e3:.0f} ms, arriving at {two_digits(one.speed)} rad/s.")
        else:
            assert told.endswith(f"stalls at {two_deg(one.stall)}, {two_digits(one.lacks)} mJ short of lock-up.")
        assert ("this build, drawn" in told) == (one.limit == found.build.si("finger.speed_limit"))
    assert ("lowest breakout" in said) == (found.opening.launch is not None)
    assert ("Stalled, the blade" in said) == bool(found.opening.after)
    for flag in found.flags:
        assert FLAGS[flag] in said
    assert said.startswith(found.summary.words)
    assert ("No warning" in said) == found.summary.sound


def test_what_a_stalled_blade_does_is_said():
    assert "Stalled, the blade falls back and hangs at 112 deg." in under("hangs")
    assert "Stalled, the blade stays there." in under("coasts")
    assert "Stalled, the blade falls shut again." in under("left, coasts")


def test_title_is_the_builds_name_and_says_demo():
    assert page("demo").texts[0].get_text() == f"{demo().name} (demo)"
    assert motion_figure(compute(Build.loads(demo_text()))).texts[0].get_text() == demo().name
    title = page("long name").texts[0].get_text()
    assert title.count("\n") == 1
    assert title.endswith("... (demo)")
    odd = compute(demo().change({"name": "cost $5 & $6, \\alpha_1 <b>"}))
    assert motion_figure(odd).texts[0].get_text() == "cost $5 & $6, \\alpha_1 <b> (demo)"


def test_a_build_in_inches_has_its_energies_in_inches():
    """The same lines, drawn in ozf*in: 1 ozf*in is 7.061552 mJ (16 oz to the pound of 4.4482216 N)."""
    metric, inch = (compute(Build.loads(f'units = "{units}"\n{demo_text()}')) for units in ("metric", "inch"))
    one, other = energy(metric, axes()), energy(inch, axes())
    assert (one.get_ylabel(), other.get_ylabel()) == ("energy [mJ]", "energy [ozf*in]")
    for name in ("finger", "spent", "left"):
        drawn = [next(line for line in ax.lines if line.get_label() == name).get_ydata() for ax in (one, other)]
        assert drawn[0] == pytest.approx(7.061552 * drawn[1], rel=1e-6, nan_ok=True)
    assert " mJ" not in "".join(text.get_text() for text in motion_figure(inch).texts) + words(other)
    check_words(motion_figure(inch))
