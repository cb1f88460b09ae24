"""Labels that find a clear place, and how a figure becomes a file."""

import os

import numpy as np
import pytest
from helpers.drawn_curves import axes, made
from matplotlib.figure import Figure

from detentsim.show import dimple
from detentsim.show.theme.labels import Labels, Spot
from detentsim.show.theme.saving import save_figure
from detentsim.units.errors import InputError

# Labels


def test_label_takes_the_first_clear_place():
    ax = axes()
    ax.set(xlim=(0, 1), ylim=(0, 1))
    labels = Labels(ax, [np.array([[0.0, 1.0], [0.5, 0.5]])])
    on_line, clear, last = (Spot(0.5, y, 0, 0, "center", "center") for y in (0.5, 0.8, 0.2))
    assert labels.put("first", [on_line, clear, last]).xy == (0.5, 0.8)
    assert labels.put("second", [clear, on_line, last]).xy == (0.5, 0.2)
    assert labels.put("third", [clear, on_line]).xy == (0.5, 0.5)


def test_label_that_stands_off_is_tied_and_its_point_kept_free():
    ax = axes()
    ax.set(xlim=(0, 1), ylim=(0, 1))
    labels = Labels(ax, [])
    labels.put("beside", [Spot(0.5, 0.8, 4, 0, "left", "center")])
    labels.lead(0.5, 0.8)
    assert not ax.lines
    labels.put("far off", [Spot(0.5, 0.5, 0, 0, "center", "center")])
    labels.lead(0.5, 0.2)
    assert [one.get_xydata()[-1].tolist() for one in ax.lines] == [pytest.approx([0.5, 0.2])]
    over, clear = (Spot(x, 0.2, 0, 0, "center", "center") for x in (0.5, 0.2))
    assert labels.put("later", [over, clear]).xy == (0.2, 0.2)


# Files


@pytest.mark.slow
@pytest.mark.parametrize("ending", ["png", "svg", "pdf", "PNG"])
def test_same_figure_gives_the_same_bytes(tmp_path, ending):
    written = []
    for i in range(2):
        figure = Figure(figsize=(3, 3))
        dimple(made("demo"), figure.add_axes((0.15, 0.15, 0.8, 0.8)))
        path = tmp_path / f"{i}.{ending}"
        assert save_figure(figure, path) == path
        written.append(path.read_bytes())
    assert written[0] == written[1]
    assert written[0].startswith({"png": b"\x89PNG", "svg": b"<?xml", "pdf": b"%PDF"}[ending.lower()])
    assert b"date" not in written[0].lower().replace(b"update", b"") or ending.lower() != "svg"


@pytest.mark.parametrize("name", ["curve.jpg", "curve", "curve.png.txt", "", ".png"])
def test_other_endings_are_refused_in_one_sentence(tmp_path, monkeypatch, name):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(InputError, match=r"^path: .*must end in \.png, \.svg or \.pdf, such as") as caught:
        save_figure(Figure(), name)
    assert "\n" not in str(caught.value)
    assert not list(tmp_path.iterdir())


def test_axes_stand_for_their_figure_and_a_result_for_none(tmp_path):
    figure = Figure(figsize=(1, 1))
    on_it = save_figure(figure.subplots(), tmp_path / "1.png")
    assert on_it.read_bytes() == save_figure(figure, tmp_path / "2.png").read_bytes()
    with pytest.raises(InputError, match=r"figure: a Build is no figure; give one such as ds\.show\."):
        save_figure(made("demo").build, tmp_path / "3.png")
    with pytest.raises(InputError, match=r"path: 3 is no file name; give one such as curve\.png"):
        save_figure(figure, 3)


@pytest.mark.parametrize("name", ["missing/curve.png", "plain.txt/curve.png", "nul\0.png", f"{'x' * 300}.png"])
def test_a_place_that_cannot_be_written_is_one_sentence(tmp_path, name):
    (tmp_path / "plain.txt").write_text("a file, no folder")
    with pytest.raises(InputError, match=r"^path: .*cannot be written") as caught:
        save_figure(Figure(), f"{tmp_path}/{name}")
    assert "\n" not in str(caught.value)
    assert [path.name for path in tmp_path.iterdir()] == ["plain.txt"]


def test_a_folder_is_no_file(tmp_path):
    (tmp_path / "sub.png").mkdir()
    with pytest.raises(InputError, match="is a folder; name a file"):
        save_figure(Figure(), tmp_path / "sub.png")


def test_what_stood_there_survives_a_failure(tmp_path, monkeypatch):
    path = tmp_path / "curve.svg"
    path.write_text("old")

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    with pytest.raises(InputError, match="No space left on device"):
        save_figure(Figure(), path)
    assert path.read_text() == "old"
    assert list(tmp_path.iterdir()) == [path]


def test_a_file_keeps_its_permissions_and_a_link_its_target(tmp_path):
    path, link = tmp_path / "real.svg", tmp_path / "link.svg"
    path.write_text("old")
    path.chmod(0o640)
    link.symlink_to(path)
    save_figure(Figure(), link)
    assert link.is_symlink()
    assert path.read_bytes().startswith(b"<?xml")
    assert path.stat().st_mode & 0o777 == 0o640
