"""The command `sheet`: its text, its files, and what it refuses."""

from dataclasses import replace

import pytest
from helpers.garden import WORKSHOP_TEXT, workshop
from helpers.laid_out import LAID_OUT
from helpers.strict_json import strict

import detentsim as ds
from detentsim.analysis.in_hand.sheet.setting import drillings
from detentsim.show.in_hand.sheet.steps import steps

pytestmark = pytest.mark.usefixtures("remembered")


def test_without_a_build_file_it_refuses(run):
    status, out, err = run("sheet")
    assert (status, out) == (2, "")
    assert err.count("\n") == 1
    assert "give its build file" in err


@pytest.mark.slow
@pytest.mark.parametrize("ending", ["pdf", "png"])
def test_a_page_is_written(run, build_file, tmp_path, ending):
    page = tmp_path / f"sheet.{ending}"
    status, out, err = run("sheet", build_file(LAID_OUT), "--paper", "letter", "-o", page)
    assert (status, err) == (0, "")
    assert "3. Second drill: #53: feed 0.070 mm from first touch. Spindle" in out
    assert page.read_bytes()[:4] in (b"%PDF", b"\x89PNG")
    if ending == "png":  # of the others the page's own test asks it
        again = page.read_bytes()
        assert run("sheet", build_file(LAID_OUT), "--paper", "letter", "-o", page)[0] == 0
        assert page.read_bytes() == again


def test_what_it_refuses(run, build_file, tmp_path):
    file = build_file(LAID_OUT)
    for words, told in (
        (("-o", "sheet.txt"), '-o: "sheet.txt" must end in .png, .svg or .pdf'),
        (("--surface-speed", "12"), "--surface-speed: "),
        (("--surface-speed", "1 km/s"), "--surface-speed: "),
        (("-o", str(tmp_path)), "-o: "),
        (("-o", str(file)), "-o: "),
    ):
        status, out, err = run("sheet", file, *words)
        assert (status, out) == (2, "")
        assert told in err
        assert err.count("\n") == 1
    assert run("sheet", file, "--paper", "a3")[0] == 2


@pytest.mark.slow
def test_the_surface_speed_sets_the_spindle(run, build_file):
    file = build_file(LAID_OUT)
    document = strict(run("sheet", file, "--surface-speed", "10 m/min", "--json")[1])
    first = document["drillings"][0]
    assert first["surface_speed"] == pytest.approx(10)
    assert first["spindle_speed"] == pytest.approx(10 / (3.14159265 * 0.055 * 0.0254), abs=25)  # #54 is 0.055 in


@pytest.mark.slow
def test_in_inches_and_in_the_files_own_units(run, build_file):
    text = run("sheet", build_file(LAID_OUT), "--units", "inch")[1]
    assert "lbf" in text
    assert "thou" in text
    metric = run("sheet", build_file(LAID_OUT))[1]
    assert "lbf" not in metric


@pytest.mark.slow
def test_a_drawing_that_cannot_be_read_leaves_the_sheet_whole():
    text = LAID_OUT[: LAID_OUT.index("outline = [")] + 'dxf = "none.dxf"\n' + LAID_OUT[LAID_OUT.index("lock_face =") :]
    s = ds.sheet(ds.Build.loads(text))
    assert s.layout is None
    assert s.summary["layout"].state == "unknown"


@pytest.mark.slow
def test_a_wrong_layout_ends_as_layout_does_with_the_page_written(run, build_file, tmp_path):
    file, page = (
        build_file(LAID_OUT.replace('ball_from_edge = "4 mm"', 'ball_from_edge = "0.9 mm"')),
        tmp_path / "s.svg",
    )
    assert run("layout", file)[0] == 1
    status, out, err = run("sheet", file, "-o", page)
    assert (status, err) == (1, "")
    assert "the layout is wrong" in out
    assert page.read_bytes()[:4] == b"<?xm"
    assert page.stat().st_size > 10_000


@pytest.mark.slow
def test_other_forces_that_are_wanted_have_their_corrections(run, build_file):
    text = LAID_OUT.replace("[target]", '[target]\nlift_force_open = { at_least = "5 N", at_most = "20 N" }')
    document = strict(run("sheet", build_file(text), "--json")[1])
    lifts = [one for one in document["corrections"] if one["name"] == "lift_force_open"]
    assert [one["heavy"] for one in lifts] == [True, False]
    # never one that the target allows, and each change is advice that does what it says
    assert [one["force"] for one in lifts] == pytest.approx([20, 5])
    trying = document["steps"][-1]["do"]
    assert all(f"If the lift force open reads {way} " in trying for way in ("over", "under"))


@pytest.mark.slow
def test_a_drawing_that_misses_its_target_is_changed_before_the_knife_is(run, build_file):
    text = LAID_OUT.replace("[target]", '[target]\nlift_force_open = { at_most = "1 N" }')
    document = strict(run("sheet", build_file(text), "--json")[1])
    assert "lift_force_open" not in {one["name"] for one in document["corrections"]}
    told = "The drawing itself misses the lift force open and the breakout wanted: ask detentsim advise what to change."
    assert document["steps"][-1]["do"].endswith(told)
    assert "Change the build before you cut." in run("sheet", build_file(text))[1]


@pytest.mark.parametrize(
    ("metal", "work"), [("420", "hardened steel"), ("410", "stainless steel"), ("Ti-6Al-4V", "titanium")]
)
def test_a_bar_is_drilled_as_hard_as_its_steel_is(metal, work):
    """420 of the table has 48 HRC, at which the tang too counts as hardened; 410 has 43."""
    hole = drillings(
        workshop().change({"bar.material": metal, "ball.hole_drill": "1.95 mm", "ball.hole_depth": "1.5 mm"})
    )[0]
    assert (hole.hole, hole.work) == ("ball's hole", work)


def test_a_wanted_torque_is_read_as_a_force_and_a_cut_is_not_made_at_once():
    """Moving the opener changes the push and not the torque; a cut by the drawing may be too much for this knife."""
    stiffer = ds.curve(workshop().change({"bar.bend": "2.6 mm"}))
    most = stiffer.results["breakout_torque"]
    wanted = f'breakout_torque = {{ at_most = "{most} N*mm" }}'
    s = ds.sheet(
        ds.Build.loads(WORKSHOP_TEXT.replace('breakout_force = { at_least = "9 N", at_most = "13 N" }', wanted))
    )
    heavy, light = s.corrections
    assert (heavy.name, heavy.torque) == ("breakout_torque", pytest.approx(most))
    assert heavy.force == pytest.approx(stiffer.results["breakout_force"], rel=0.005)
    assert not any("opener" in do for one in s.corrections for do in one.do)
    assert f"over {s.build.units.pull(heavy.force)}, a torque of " in steps(s)[-1].do
    cut = replace(s, corrections=(replace(light, undo=False),))
    assert steps(cut)[-1].do.endswith("That cannot be undone: first give the reading to detentsim advise.")
