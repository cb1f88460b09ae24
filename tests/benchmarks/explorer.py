"""How long a turn of a knob and a drag of the blade take, computing and redrawing: goal 50 ms for each.

Run: .venv/bin/python tests/benchmarks/explorer.py

Turns go to any place of any knob, and, as a hand drags, three places on at most; the blade goes from closed to past
let-go. What waits until a knob rests comes in pieces, between which the mouse is heard. The window paints on a canvas
that nobody watches; where there is a screen, `--screen` measures in a real window.
"""

import gc
import sys
import time
from pathlib import Path

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

import detentsim as ds
from detentsim.analysis.explore.session import Session
from detentsim.show.explorer.window import Window, open_window

MOVES = 200


class Sheet(FigureCanvasAgg):
    """A canvas that can be painted in parts."""

    def blit(self, bbox=None):
        """Nobody watches."""


def timed(call, *given):
    start = time.perf_counter()
    call(*given)
    return 1e3 * (time.perf_counter() - start)


def moves(turns, turn, near, rest=lambda: None):
    """Times of so many turns [ms]."""
    rng, found = np.random.default_rng(3), []
    for _ in range(MOVES):
        knob = turns.knobs[int(rng.integers(len(turns.knobs)))]
        last = len(knob.stops) - 1
        place = turns.places[knob.name] + int(rng.integers(-3, 4)) if near else int(rng.integers(last + 1))
        found.append(timed(turn, knob.name, min(max(place, 0), last)))
        rest()
    return np.array(found)


def told(words, found, whole):
    middle, most, worst = np.percentile(found, [50, 95, 100])
    print(f"{words:<34} median {middle:5.1f}  95 % {most:5.1f}  longest {worst:5.1f} ms", end="")
    print(f"   {middle / whole:5.2f} of the window drawn whole")


def window_moves(opened, rest=lambda: None):
    def turn(name, place):
        opened.board.sliders[name].set_val(place)
        rest()

    whole = min(timed(opened.board.figure.canvas.draw) for _ in range(5))
    for near, words in ((True, "window, dragged"), (False, "window, anywhere")):
        opened.go(opened.turns.to_start())
        told(words, moves(opened.turns, turn, near), whole)
    opened.go(opened.turns.to_start())
    blade_moves("window, blade dragged", opened.swing, opened.board.feel.end, whole)
    pieces(opened, whole)
    return whole


def blade_moves(words, swing, end, whole):
    told(words, np.array([timed(swing, angle) for angle in np.linspace(0, end, MOVES)]), whole)


def pieces(opened, whole):
    opened.board.sliders["bar.bend"].set_val(opened.board.sliders["bar.bend"].val + 1)
    found = []
    while len(opened.turns.met) < len(opened.turns.knobs):
        found.append(timed(opened.settle))
    told("window, pieces once it rests", np.array(found), whole)


def notebook_moves(whole):
    shown = ds.show.explore(ds.demo())
    shown._wait = lambda _: True  # for the knob to rest, as it does in a kernel

    def turn(name, place):
        shown.sliders[name].value = place

    for near, words in ((True, "notebook, dragged"), (False, "notebook, anywhere")):
        told(words, moves(shown.turns, turn, near), whole)

    def swing(angle):
        shown.blade.value = angle

    blade_moves("notebook, blade dragged", swing, shown.blade.max, whole)


def main():
    """Measure."""
    if "--screen" in sys.argv:
        import matplotlib.pyplot as plt

        opened = []
        own = Window.__init__

        def kept(self, *given):
            own(self, *given)
            opened.append(self)

        def drive(**_):
            root = plt.gcf().canvas.manager.window
            root.update()
            window_moves(opened[0], root.update_idletasks)
            plt.close("all")

        Window.__init__, plt.show = kept, drive
        open_window(Session(ds.demo()), Path("turned.toml"))
        return
    figure = Figure(figsize=(11, 7.2), dpi=100)
    Sheet(figure)
    opened = Window(figure, Session(ds.demo()), Path("turned.toml"))
    gc.collect()
    gc.freeze()
    notebook_moves(window_moves(opened))


if __name__ == "__main__":
    main()
