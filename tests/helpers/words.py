"""Whether the words of a figure can be read: for every test that draws one."""

import itertools

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
    """No two texts of a figure overlap, and none leaves it."""
    found, page = boxes(figure), figure.bbox
    for (one, first), (other, second) in itertools.combinations(found, 2):
        assert not first.overlaps(second), f"{one!r} and {other!r}"
    for text, box in found:
        assert page.x0 <= box.x0, text
        assert box.x1 <= page.x1, text
        assert page.y0 <= box.y0, text
        assert box.y1 <= page.y1, text
