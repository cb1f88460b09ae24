"""The tang from a DXF drawing: lines, arcs, polylines, splines, blocks; inch and mm; open outlines and rubbish."""

import math
import sys

import ezdxf
import numpy as np
import pytest
from helpers.laid_out import BARE, laid_out

import detentsim as ds
from detentsim.analysis.one_build.summary import summary
from detentsim.knife.record.layout.dxf import read_loops
from detentsim.knife.record.layout.loops import area, polyline
from detentsim.units.errors import InputError

PLACE = """
[layout]
dxf = "tang.dxf"
lock_face = "-4 mm"
bar_edge = "-9 mm"
ball_from_lock_face = "3 mm"
ball_from_edge = "4 mm"
chamfer = "0.3 mm"
"""


def drawing(unit=4):
    doc = ezdxf.new(setup=False)
    doc.header["$INSUNITS"] = unit
    return doc, doc.modelspace()


def tang(space, scale=1.0):
    """The tang of `helpers/laid_out.py`, its arc as an arc, its lock face on a layer of its own."""
    s, layer = scale, {"layer": "LOCK FACE"}
    space.add_line((-16 * s, -8 * s), (2 * s, -9 * s))
    centre, radius = round_end()
    low, high = (math.degrees(math.atan2(y - centre[1], x - centre[0])) for x, y in ((2, -9), (9, 0.6)))
    space.add_arc((centre[0] * s, centre[1] * s), radius * s, low, high)
    space.add_lwpolyline([(4 * s, 1.2 * s), (9 * s, 0.6 * s)])
    space.add_line((4 * s, 1.2 * s), (4 * s, 10 * s), dxfattribs=layer)
    space.add_lwpolyline([(4 * s, 10 * s), (-16 * s, 10 * s), (-16 * s, -8 * s)])
    space.add_circle((0, 0), 2.5 * s, dxfattribs={"layer": "pivot"})
    space.add_circle((-13 * s, 6 * s), 2 * s, dxfattribs={"layer": "opener"})


def round_end():
    piece = laid_out().layout.loops[0].pieces[1]
    return (piece.centre[0] * 1e3, piece.centre[1] * 1e3), math.dist(piece.centre, piece.start) * 1e3


def saved(doc, folder, name="tang.dxf"):
    doc.saveas(folder / name)
    return folder / name


@pytest.mark.parametrize(("unit", "scale"), [(4, 1.0), (1, 1 / 25.4), (5, 0.1)], ids=["mm", "inch", "cm"])
def test_a_drawing_gives_what_the_same_tang_typed_gives(tmp_path, unit, scale):
    doc, space = drawing(unit)
    tang(space, scale)
    saved(doc, tmp_path)
    (tmp_path / "knife.toml").write_text(BARE + PLACE)
    one = ds.layout(ds.Build.read(tmp_path / "knife.toml"))
    two = ds.layout(laid_out(('stop_pin = { at = ["-2 mm", "-11 mm"], diameter = "3 mm" }', "")))
    assert one.drops_off.left_by == "lock face"
    assert one.drops_off.start == pytest.approx(two.drops_off.start, abs=1e-6)
    typed = {c.name: c for c in two.clearances}
    assert {c.name for c in one.clearances} == set(typed)
    for c in one.clearances:
        other = typed[c.name]
        assert (c.contact, c.angle, c.rim) == pytest.approx((other.contact, other.angle, other.rim), abs=1e-6)


def test_curves_and_blocks_give_their_true_shape(tmp_path):
    """An ellipse, a spline and a circle in a block, scaled and turned; areas by formula."""
    doc, space = drawing()
    space.add_ellipse((0, 0), (20, 0), 0.5)
    hole = doc.blocks.new("HOLE")
    hole.add_circle((0, 0), 1)
    nest = doc.blocks.new("NEST")
    nest.add_blockref("HOLE", (0, 0), dxfattribs={"layer": "opener"})
    space.add_blockref("NEST", (-8, 0), dxfattribs={"xscale": 2, "yscale": 2, "rotation": 30})
    turns = np.linspace(0, 2 * math.pi, 24, endpoint=False)
    space.add_spline([(5 + 2 * math.cos(t), 2 * math.sin(t)) for t in [*turns, turns[0]]], dxfattribs={"layer": "slot"})
    outline, *holes = read_loops(saved(doc, tmp_path))
    assert outline.called == "outline"
    assert {one.called for one in holes} == {"opener", "slot"}
    fine = {one.called: abs(area(polyline(one, 1e-3)[0])) * 1e6 for one in (outline, *holes)}
    assert fine["outline"] == pytest.approx(math.pi * 20 * 10, rel=1e-3)
    assert fine["opener"] == pytest.approx(math.pi * 4, rel=1e-5)
    assert fine["slot"] == pytest.approx(math.pi * 4, rel=2e-3)


def test_a_bulge_is_an_arc(tmp_path):
    doc, space = drawing()
    space.add_lwpolyline([(-5, 0, 1), (5, 0, 1)], format="xyb", close=True)  # two half circles
    (outline,) = read_loops(saved(doc, tmp_path))
    assert [round(math.degrees(abs(piece.sweep))) for piece in outline.pieces] == [180, 180]
    assert abs(area(polyline(outline, 1e-3)[0])) * 1e6 == pytest.approx(math.pi * 25, rel=1e-6)


def test_a_layer_may_be_chosen_and_other_things_are_passed_over(tmp_path):
    doc, space = drawing()
    tang(space)
    space.add_line((-100, 0), (100, 0), dxfattribs={"layer": "notes"})
    space.add_text("keep sharp")
    path = saved(doc, tmp_path)
    with pytest.raises(InputError, match="an outline is open at"):
        read_loops(path)
    only = drawing()[0]
    only.modelspace().add_lwpolyline([(-9, -9), (9, -9), (9, 9), (-9, 9)], close=True, dxfattribs={"layer": "Tang"})
    only.modelspace().add_line((0, 0), (1, 1))
    assert len(read_loops(saved(only, tmp_path, "two.dxf"), layer="tang")) == 1


def test_an_open_outline_says_where(tmp_path):
    doc, space = drawing()
    space.add_lwpolyline([(-9, -9), (9, -9), (9, 9), (-9, 9), (-9, -8.9)])
    with pytest.raises(InputError) as caught:
        read_loops(saved(doc, tmp_path))
    assert "is open at (-9.000 mm, -" in str(caught.value)
    assert "\n" not in str(caught.value)


WRONG = [
    (b"no drawing at all", "is no DXF drawing"),
    (b"", "is no DXF drawing"),
    (bytes(range(256)) * 40, "is no DXF drawing"),
    (b"AutoCAD Binary DXF\r\n\x1a\x00" + bytes(200), "is no DXF drawing"),
]


@pytest.mark.parametrize(("content", "words"), WRONG, ids=["text", "empty", "bytes", "binary"])
def test_rubbish_is_one_clear_line(tmp_path, run, content, words):
    (tmp_path / "tang.dxf").write_bytes(content)
    (tmp_path / "knife.toml").write_text(BARE + PLACE)
    status, out, err = run("layout", tmp_path / "knife.toml")
    assert (status, out) == (2, "")
    assert words in err
    assert err.count("\n") == 1


def test_a_damaged_drawing_is_one_clear_line(tmp_path):
    doc, space = drawing()
    tang(space)
    text = saved(doc, tmp_path).read_text()
    rng, told = np.random.default_rng(5), []
    for number in range(12):
        at, path = int(rng.integers(200, len(text) - 200)), tmp_path / f"cut{number}.dxf"
        path.write_text(text[:at] + "\n  %$ \n" + text[at + 60 :])
        try:
            read_loops(path)
        except InputError as error:
            told.append(str(error))
    assert told
    assert not any("\n" in words for words in told)


def test_a_drawing_without_a_unit_asks_for_it(tmp_path):
    doc, space = drawing(0)
    tang(space)
    path = saved(doc, tmp_path)
    with pytest.raises(InputError, match=r'dxf_unit: is missing: .*write dxf_unit = "mm" or "inch"'):
        read_loops(path)
    assert len(read_loops(path, "mm")) == 3


def test_without_the_library_clear_words_and_other_commands_still_run(tmp_path, run, monkeypatch):
    monkeypatch.setitem(sys.modules, "ezdxf", None)
    doc, space = drawing()
    tang(space)
    saved(doc, tmp_path)
    (tmp_path / "knife.toml").write_text(BARE + PLACE)
    status, _, err = run("layout", tmp_path / "knife.toml")
    assert status == 2
    assert "pip install 'detentsim[cad]'" in err
    check = summary(ds.Build.read(tmp_path / "knife.toml"))["layout"]
    assert check.state == "unknown"
    assert "detentsim[cad]" in check.words
