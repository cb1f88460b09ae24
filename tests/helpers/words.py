"""Whether the words of a figure can be read: for every test that draws one."""

import numpy as np
from matplotlib.text import Text


def boxes(figure):
    """Space that each visible text of a figure takes, with the text."""
    figure.draw_without_rendering()
    found = [*figure.texts, *(one for one in figure.artists if isinstance(one, Text))]
    for ax in [*figure.axes, *(child for one in figure.axes for child in one.child_axes)]:
        found += [*ax.texts, ax.xaxis.label, ax.yaxis.label, ax.title]
        for axis in (ax.xaxis, ax.yaxis):
            low, high = sorted(axis.get_view_interval())
            ticks = [tick for tick in axis.get_major_ticks() if low <= tick.get_loc() <= high]
            found += [label for tick in ticks for label in (tick.label1, tick.label2)]
    shown = [text for text in found if text.get_visible() and text.get_text()]
    return [(text.get_text(), text.get_window_extent()) for text in shown]


def check_words(figure):
    """No two texts of a figure overlap, and none leaves it; how many there are."""
    found, page = boxes(figure), figure.bbox
    names = [name for name, _ in found]
    x0, y0, x1, y1 = np.array([box.extents for _, box in found]).reshape(-1, 4).T
    meet = (x0[:, None] <= x1) & (x0 <= x1[:, None]) & (y0[:, None] <= y1) & (y0 <= y1[:, None])
    pairs = [(names[i], names[j]) for i, j in np.argwhere(np.triu(meet, 1))]
    assert not pairs
    inside = (page.x0 <= x0) & (x1 <= page.x1) & (page.y0 <= y0) & (y1 <= page.y1)
    assert inside.all(), [name for name, well in zip(names, inside, strict=True) if not well]
    return len(found)
