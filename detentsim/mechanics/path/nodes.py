"""Chebyshev points at which a stable branch and a panel of the motion are given.

Stands alone; ``at_blade_angle`` and ``motion.chebyshev`` stand on it.
"""

from __future__ import annotations

import numpy as np

# Chebyshev points of a branch that bracket its inverse; 2^4 + 1 of them, so that bisection takes four steps.
NODES = (1 - np.cos(np.pi * np.arange(17) / 16)) / 2
