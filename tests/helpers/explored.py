"""The explorer opened on a build, and what its drawings hold."""

from matplotlib.backends.backend_agg import FigureCanvasAgg


class Sheet(FigureCanvasAgg):
    """A canvas that can be painted in parts and that nobody watches."""

    def blit(self, bbox=None):
        pass

    def draw_idle(self):
        """Drawn when a test asks; a window would do it when it is idle."""


def middle(ax):
    return ax.bbox.x0 + ax.bbox.width / 2, ax.bbox.y0 + ax.bbox.height / 2
