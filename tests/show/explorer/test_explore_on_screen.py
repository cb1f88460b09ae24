"""The explorer seen: a window on a virtual screen, and a notebook in a browser, where those are installed.

Debian's xvfb and xdotool give the one; jupyterlab (the extra notebook), playwright and Debian's chromium the other.
"""

import hashlib
import importlib.util
import json
import os
import shutil
import socket
import subprocess
import sys
import time
from contextlib import contextmanager

import pytest
from helpers.garden import GARDEN_FILE

import detentsim as ds

pytestmark = pytest.mark.slow

needs_screen = pytest.mark.skipif(
    not all(map(shutil.which, ("Xvfb", "xdotool", "import"))) or importlib.util.find_spec("tkinter") is None,
    reason="a window needs Xvfb, xdotool, ImageMagick and tkinter",
)
needs_browser = pytest.mark.skipif(
    not shutil.which("chromium") or not all(map(importlib.util.find_spec, ("jupyterlab", "ipywidgets", "playwright"))),
    reason="a notebook in a browser needs chromium, jupyterlab, ipywidgets and playwright",
)


def waited(found, seconds=60):
    """What a call gives, once it gives something."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        value = found()
        if value:
            return value
        time.sleep(0.1)
    raise TimeoutError


@contextmanager
def screen():
    """A virtual screen and its name."""
    read, write = os.pipe()
    words = ["Xvfb", "-displayfd", str(write), "-noreset", "-screen", "0", "1800x1100x24"]
    server = subprocess.Popen(words, pass_fds=[write], stderr=subprocess.DEVNULL)
    os.close(write)
    try:
        with os.fdopen(read) as told:
            yield f":{told.readline().strip()}"
    finally:
        server.terminate()
        server.wait()


class Hand:
    """A hand at the mouse and keyboard of a virtual screen."""

    def __init__(self, display):
        self.around = {**os.environ, "DISPLAY": display}
        self.window = waited(lambda: self._do("search", "--name", "garden folder - detentsim").split())[0]
        time.sleep(2)

    def _do(self, *words):
        return subprocess.run(["xdotool", *words], env=self.around, capture_output=True, text=True, check=False).stdout

    def size(self, width, height):
        self._do("windowsize", self.window, str(width), str(height))
        time.sleep(1.5)

    def at(self, x, y, *then):
        """Point somewhere, as parts of the window from its upper left corner, and do something."""
        lines = self._do("getwindowgeometry", "--shell", self.window).splitlines()
        place = dict(line.split("=") for line in lines)
        at = [int(place["X"]) + x * int(place["WIDTH"]), int(place["Y"]) + y * int(place["HEIGHT"])]
        self._do("mousemove", *(str(round(part)) for part in at), *then)
        time.sleep(0.6)

    def seen(self):
        words = ["import", "-window", self.window, "ppm:-"]
        return hashlib.sha1(subprocess.run(words, env=self.around, capture_output=True, check=True).stdout).hexdigest()


def knob_at(place):
    """Where one of fourteen knobs stands in a window of the opening size, as parts of it."""
    column, row = divmod(place, 7)
    return 0.25 + 0.5 * column, (486 + 29 * row) / 720


@needs_screen
def test_the_window_is_driven_by_hand(tmp_path):
    path = tmp_path / "own.toml"
    path.write_text(GARDEN_FILE.read_text(encoding="utf-8"), encoding="utf-8")
    with screen() as display:
        around = {**os.environ, "DISPLAY": display, "MPLBACKEND": "tkagg"}
        words = [sys.executable, "-m", "detentsim", "explore", str(path), "--json"]
        with subprocess.Popen(words, env=around, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as program:
            hand = Hand(display)
            pictures = [hand.seen()]
            for width, height in ((800, 560), (1700, 1000), (1100, 720)):
                hand.size(width, height)
                pictures.append(hand.seen())
            assert len(set(pictures)) >= 3
            for place in range(14):
                before = hand.seen()
                hand.at(*knob_at(place), "click", "4")
                assert hand.seen() != before, place
            hand.at(300 / 1100, 697 / 720, "click", "1")
            hand.at(0.5, 0.3, "key", "ctrl+w")
            out, err = program.communicate(timeout=30)
    assert (program.returncode, err) == (0, "")
    found = json.loads(out)
    assert len(found["turned"]) == 14
    saved = ds.Build.read(found["saved"])
    for name, move in found["turned"].items():
        assert saved.word(name) == move["to"]
    assert ds.curve(saved).results["breakout_force"] == pytest.approx(found["results"]["breakout_force"]["value"])


SUMS = """() => Array.from(document.querySelectorAll('.jp-OutputArea img.widget-image')).map(image => {
  if (!image.naturalWidth) return null;
  const sheet = document.createElement('canvas');
  sheet.width = image.naturalWidth; sheet.height = image.naturalHeight;
  const pen = sheet.getContext('2d'); pen.drawImage(image, 0, 0);
  return pen.getImageData(0, 0, sheet.width, sheet.height).data.reduce((sum, part) => (31 * sum + part) | 0, 0);
})"""
TRACKS = """() => Array.from(document.querySelectorAll('.ds-knob .noUi-base')).map(track => {
  const box = track.getBoundingClientRect(), top = document.querySelector('.ds-explorer').getBoundingClientRect();
  return [box.x - top.x, box.y - top.y + document.querySelector('.ds-knobs').scrollTop, box.width];
})"""
BOX = "name => document.querySelector(name).getBoundingClientRect().toJSON()"
QUIET = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"]


@contextmanager
def laboratory(folder):
    """A notebook server for a folder; its address."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    own = {name: str(folder / f".{name}") for name in ("JUPYTER_CONFIG_DIR", "JUPYTER_DATA_DIR", "IPYTHONDIR")}
    options = ["--no-browser", "--allow-root", f"--port={port}", "--ServerApp.token=", "--ServerApp.password="]
    words = [sys.executable, "-m", "jupyterlab", *options, f"--ServerApp.root_dir={folder}"]
    server = subprocess.Popen(words, env={**os.environ, **own}, stderr=subprocess.DEVNULL, cwd=folder)
    try:
        waited(lambda: socket.socket().connect_ex(("127.0.0.1", port)) == 0)
        yield f"http://127.0.0.1:{port}/lab/tree/x.ipynb?reset"
    finally:
        server.terminate()
        server.wait()


def sums(page):
    """Sums of both pictures, once they are loaded."""
    return waited(lambda: (found := page.evaluate(SUMS)) and None not in found and found)


@needs_browser
@pytest.mark.filterwarnings("ignore")  # what a browser's library leaves open is not ours
@pytest.mark.parametrize("size", [(760, 640), (1366, 768)])
def test_the_notebook_is_driven_in_a_browser(tmp_path, size):
    import nbformat
    from playwright.sync_api import sync_playwright

    (tmp_path / "own.toml").write_text(GARDEN_FILE.read_text(encoding="utf-8"), encoding="utf-8")
    cell = 'import detentsim as ds\ne = ds.show.explore(ds.Build.read("own.toml"))\ne'
    notebook = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(cell)])
    notebook.metadata.kernelspec = {"display_name": "Python 3", "language": "python", "name": "python3"}
    nbformat.write(notebook, tmp_path / "x.ipynb")
    with laboratory(tmp_path) as address, sync_playwright() as browsers:
        browser = browsers.chromium.launch(executable_path=shutil.which("chromium"), args=QUIET)
        page = browser.new_page(viewport={"width": size[0], "height": size[1]})
        wrong = []
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.goto(address)
        page.wait_for_selector('[data-status="idle"]', timeout=60_000, state="attached")  # the kernel is up
        time.sleep(1)
        page.click(".jp-CodeCell .jp-InputArea-editor")
        page.keyboard.press("Shift+Enter")
        page.wait_for_selector(".jp-OutputArea .widget-image", timeout=60_000)
        time.sleep(2)
        sliders = page.locator(".ds-knob .widget-hslider")
        assert sliders.count() == 14
        tracks = page.evaluate(TRACKS)
        assert size[0] < 1000 or all(wide >= 240 for _, _, wide in tracks)  # two pixels a stop: 121 at most
        for place in range(14):
            before = sums(page)
            sliders.nth(place).locator(".noUi-handle").focus()
            page.keyboard.press("ArrowRight")
            waited(lambda before=before: sums(page) != before, 20)
        assert page.evaluate(TRACKS) == tracks  # whatever is warned of
        curve, words = (page.evaluate(BOX, name) for name in (".ds-views", ".ds-words"))
        assert (words["x"] > curve["x"] + curve["width"] - 1) == (size[0] >= 1000)
        page.locator('.jp-OutputArea button:has-text("Save")').click()
        waited((tmp_path / "own-turned.toml").exists, 20)
        browser.close()
    assert wrong == []
    saved, own = ds.Build.read(tmp_path / "own-turned.toml"), ds.Build.read(tmp_path / "own.toml")
    assert sum(saved.values.get(name) != value for name, value in own.values.items()) >= 14
