"""Parts of drawn axes, looked up by label or name."""


def lines(ax, label):
    """The lines of that label."""
    return [one for one in ax.lines if one.get_label() == label]


def line(ax, label):
    """The one line of that label."""
    (found,) = lines(ax, label)
    return found


def patch(ax, gid):
    """The one patch of that name."""
    (found,) = [one for one in ax.patches if one.get_gid() == gid]
    return found


def texts(ax):
    """Each label's words, as they are broken into lines."""
    return [text.get_text() for text in ax.texts]


def words(ax):
    """All labels' words in one line."""
    return " ".join(texts(ax)).replace("\n", " ")
