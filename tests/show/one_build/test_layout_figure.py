"""The tang in plan: its labels do not cross the outline."""

import numpy as np
import pytest
from helpers.laid_out import laid_out
from matplotlib.figure import Figure

import detentsim as ds
from detentsim.show.one_build.layout.plan import loops_of, tang_plan

NARROW = (('"4 mm", "1.2 mm"', '"3.2 mm", "1.2 mm"'), ('["4 mm", "10 mm"]', '["3.2 mm", "10 mm"]'))
CENTRED = (('ball_from_edge = "4 mm"', 'ball_from_edge = "9 mm"'),)


@pytest.mark.slow
@pytest.mark.parametrize("changes", [(), NARROW, CENTRED])
def test_words_do_not_cross_the_outline(changes):
    found = ds.layout(laid_out(*changes))
    ax = tang_plan(
        found, Figure(figsize=(170 / 25.4, 4)).add_axes((14 / 170, 0.12, 70 / 170, 78 / 101.6))
    )  # as on its page
    outline = loops_of(found)[0]
    corners = np.vstack([outline, outline[:1]])
    at = np.linspace(0, len(corners) - 1, 20_000)
    points = np.stack([np.interp(at, np.arange(len(corners)), corners[:, i]) for i in (0, 1)], axis=1)
    pixels = ax.transData.transform(points)
    words = [text for text in ax.texts if text.get_text().startswith("off at") or "of flat" in text.get_text()]
    assert len(words) == 2
    for text in words:
        box = text.get_window_extent()
        assert not np.all((pixels > box.min) & (pixels < box.max), axis=1).any(), text.get_text()
        assert box.x1 <= ax.bbox.x1
