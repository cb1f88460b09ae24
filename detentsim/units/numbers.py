"""Numbers as a maker reads them: two significant digits, N beside lbf, mm beside thou."""

from __future__ import annotations

import numpy as np

from detentsim.units.quantities import factor


def both(millimetres: float) -> str:
    """A length in mm and thou.

    >>> both(0.635)
    '0.635 mm (25.0 thou)'
    """
    return f"{millimetres:.3f} mm ({millimetres / 0.0254:.1f} thou)"


def pull(newtons: float | None) -> str:
    """A force in N and lbf, two significant digits.

    >>> pull(12.34)
    '12 N (2.8 lbf)'
    """
    if newtons is None:
        return "none"
    return f"{two(newtons)} N ({two(newtons / factor('lbf'))} lbf)"


def two(value: float) -> str:
    """Two significant digits, never in powers of ten.

    >>> two(0.0123), two(8.96), two(143.0)
    ('0.012', '9.0', '140')
    """
    if value == 0 or not np.isfinite(value):
        return "0" if value == 0 else str(value)
    digits = 1 - int(np.floor(np.log10(abs(value) * (1 + 5e-16))))
    rounded = round(value, digits)
    digits = 1 - int(np.floor(np.log10(abs(rounded))))
    return f"{rounded:.{max(digits, 0)}f}"
