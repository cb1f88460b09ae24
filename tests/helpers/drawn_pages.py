"""What every figure must do: keep to a page, be one new figure in a notebook, give the same bytes each time."""

import contextlib

import matplotlib
import pytest

from detentsim.show.theme.saving import save_figure


def check_page(figure):
    """A page wide, not taller than one, and no type under seven points."""
    assert figure.get_figwidth() * 25.4 == pytest.approx(170)
    assert figure.get_figheight() * 25.4 < 240
    assert min(text.get_fontsize() for text in figure.findobj(matplotlib.text.Text) if text.get_text()) >= 7


@contextlib.contextmanager
def notebook_axes(monkeypatch, draw):
    """Axes that a notebook gets where none are given: those of one new figure, closed afterwards."""
    monkeypatch.setenv("MPLBACKEND", "agg")
    plt = pytest.importorskip("matplotlib.pyplot")
    plt.switch_backend("agg")
    plt.close("all")  # whatever tests before it in the same process left open
    shown = []
    monkeypatch.setattr(plt, "show", lambda *_, **__: shown.append(True))
    ax = draw()
    try:
        assert not shown
        assert plt.get_fignums() == [ax.figure.number]
        yield ax
    finally:
        plt.close(ax.figure)


def check_same_bytes(folder, ending, draw):
    """A figure drawn twice gives the same file."""
    paths = [save_figure(draw(), folder / f"{i}.{ending}") for i in range(2)]
    assert paths[0].read_bytes() == paths[1].read_bytes()
