"""The explorer in a notebook: its widgets drive the same session as the window."""

import asyncio
import sys

import pytest
from helpers.garden import workshop

import detentsim as ds
from detentsim.show.explorer.play import LASTS, PLAY, STOP, Play
from detentsim.show.explorer.report import WAITS
from detentsim.show.theme.rows import HAND_STEP
from detentsim.show.theme.style import WANTED
from detentsim.units.errors import InputError


def test_without_the_extra_one_line_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "ipywidgets", None)
    with pytest.raises(InputError, match=r'^explore: needs ipywidgets; install .*pip install -e "\.\[notebook\]"$'):
        ds.show.explore(workshop())


@pytest.fixture
def shown(tmp_path):
    pytest.importorskip("ipywidgets")
    path = tmp_path / "own.toml"
    path.write_text(workshop().text, encoding="utf-8")
    return ds.show.explore(ds.Build.read(path))


def images(shown):
    return [bytes(part.widget.value) for part in (shown._feel, shown._dimple)]


@pytest.mark.slow
def test_each_slider_changes_its_pictures(shown):
    for name, slider in shown.sliders.items():
        before = images(shown)
        slider.value = slider.value + 1
        assert images(shown) != before, name
        assert all(image.startswith(b"\x89PNG") for image in images(shown))
        assert shown.turns.places[name] == slider.value
        assert slider.options[slider.value][0] == shown.turns.knob(name).stops[slider.value].text


@pytest.mark.slow
def test_the_notebook_undoes_goes_back_and_saves(shown, tmp_path):
    undo, start, save = shown._buttons.values()
    first = bytes(shown._feel.widget.value)
    shown.sliders["bar.bend"].value = 5
    shown.sliders["friction.ball_on_tang"].value = 20
    assert "hand-steps" in shown.words.value
    undo.click()
    assert shown.sliders["friction.ball_on_tang"].value == shown.turns.knob("friction.ball_on_tang").start
    assert list(shown.turns.turned) == ["bar.bend"]
    assert shown.build.word("bar.bend") == "0.25 mm"
    save.click()
    assert shown.status.value == f"Saved as {tmp_path / 'own-turned.toml'}"
    assert ds.Build.read(tmp_path / "own-turned.toml").word("bar.bend") == "0.25 mm"
    start.click()
    assert bytes(shown._feel.widget.value) == first
    shown.file.value = str(tmp_path / "own.toml")
    save.click()
    assert shown.status.value.startswith("Not saved. ")
    assert repr(shown) == "<Explorer of '82 mm garden folder': 0 of 14 knobs turned>"


def test_the_notebooks_blade_slider_moves_dot_and_ball(shown):
    before = images(shown)
    shown.blade.value = 2.0
    assert shown.turns.angle == 2.0
    assert all(now != was for now, was in zip(images(shown), before, strict=True))
    dot = shown._feel.view.dot.get_xydata()[0]
    assert dot == pytest.approx([2.0, shown.turns.riding.force])
    assert shown._dimple.view.ball.get_center() == pytest.approx(shown.turns.riding.picture.ball)
    shown.play()  # nobody watches: on to the end
    assert shown.turns.angle == shown.blade.value == shown.blade.max == shown._feel.view.end
    assert shown._opens.description == PLAY


def test_the_notebooks_play_goes_by_the_clock(shown):
    now = [0.0]
    shown._play = Play(shown.swing, lambda: now[0])

    async def watch():
        shown.play()
        assert shown._opens.description == STOP
        now[0] = 0.5 * LASTS
        shown._played()
        middle = shown.turns.angle
        now[0] = LASTS
        shown._played()
        return middle

    assert asyncio.run(watch()) == pytest.approx(0.5 * shown.blade.max)
    assert shown.turns.angle == shown.blade.max


@pytest.mark.slow
def test_the_notebook_marks_its_tracks_and_tells_values_and_tips(shown):
    assert WANTED not in shown._marks["bar.bend"].value
    while shown.turns.refine():
        pass
    shown._tell()
    assert all(WANTED in marks.value for marks in shown._marks.values())
    assert "offset of the tip" in shown.widget.children[3].children[11].children[0].value
    shown.sliders["bar.bend"].value = 5
    assert shown._values["bar.bend"].value == "0.25 mm"
    assert WANTED in shown._marks["bar.bend"].value
    assert WANTED not in shown._marks["grip.force"].value
    assert f'title="{HAND_STEP}"' in shown.words.value


@pytest.mark.slow
def test_plain_code_sees_what_takes_longer_at_once(shown):
    shown.sliders["bar.bend"].value = 80
    assert shown.turns.now.settled
    assert WAITS not in shown.words.value


def test_only_the_last_turn_waits(shown, monkeypatch):
    monkeypatch.setattr("detentsim.show.explorer.notebook.RESTS", 60.0)  # on a busy machine too

    async def hand():
        shown.sliders["bar.bend"].value = 3
        first = shown._waiting
        shown.sliders["bar.bend"].value = 4
        return first, shown._waiting

    first, second = asyncio.run(hand())
    assert first.cancelled()
    assert not second.cancelled()


def test_a_notebook_shows_the_widget(shown):
    bundle = shown._repr_mimebundle_()
    found = bundle[0] if isinstance(bundle, tuple) else bundle
    assert found["application/vnd.jupyter.widget-view+json"]["model_id"] == shown.widget.model_id


@pytest.mark.slow
def test_in_a_kernel_a_turn_is_answered_and_then_settles(tmp_path):
    nbformat, nbclient = pytest.importorskip("nbformat"), pytest.importorskip("nbclient")
    pytest.importorskip("ipywidgets")
    pytest.importorskip("ipykernel")
    cells = [
        "import asyncio, detentsim as ds\ne = ds.show.explore(ds.demo())\ne",
        "e.sliders['bar.bend'].value = 3\nprint(e.turns.now.settled, '...' in e.words.value)",
        "await asyncio.sleep(1)\nprint(e.turns.now.settled, '...' in e.words.value)",
    ]
    notebook = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(cell) for cell in cells])
    options = {"kernel_name": "python3", "timeout": 120, "extra_arguments": ["--log-level=ERROR"]}
    nbclient.NotebookClient(notebook, resources={"metadata": {"path": str(tmp_path)}}, **options).execute()
    assert "application/vnd.jupyter.widget-view+json" in notebook.cells[0].outputs[0]["data"]
    assert [cell.outputs[0]["text"].strip() for cell in notebook.cells[1:]] == ["False True", "True False"]
