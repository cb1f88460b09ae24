"""A bar of fibres: bending by nothing but Hooke's law and a yield stress, stepped through any history.

It shares no formula with the package. A section is a row of fibres from its middle to its face (the other half is its
mirror image); a bar is sections along relief and full bar. Stress is over yield strength, curvature over that of first
yield and moment over that of first yield, each of the part it belongs to; inward is positive. A share is a push's
moment at the root over the relief's first yield. `beta` is a fibre's yield strength the other way, once it yielded.
"""

import numpy as np

FIBRES, SECTIONS = 401, 321
HEIGHT = np.linspace(0, 1, FIBRES)
# Moment of a stress that runs straight from fibre to fibre; 1 where it is the height itself.
ARM = 3 * HEIGHT[1] * HEIGHT
ARM[0], ARM[-1] = HEIGHT[1] ** 2 / 2, 1.5 * HEIGHT[1] - HEIGHT[1] ** 2 / 2


class Row:
    """Sections side by side."""

    def __init__(self, count, beta=1.0):
        self.beta = beta
        self.curvature = np.zeros(count)
        self.plastic = np.zeros((count, FIBRES))
        self.low, self.high = np.full((count, FIBRES), -1.0), np.full((count, FIBRES), 1.0)

    def stress(self):
        """Stress of every fibre, as it stands."""
        return np.clip(self.curvature[:, None] * HEIGHT - self.plastic, self.low, self.high)

    def bend_to(self, curvature):
        """Take every section to a curvature; what fibres cannot bear they give."""
        self.curvature = np.broadcast_to(np.asarray(curvature, float), self.curvature.shape).copy()
        strain = self.curvature[:, None] * HEIGHT - self.plastic
        gives = strain - np.clip(strain, self.low, self.high)
        self.plastic = self.plastic + gives
        virgin = (self.low == -1) & (self.high == 1) & (np.abs(gives) > 1e-14)
        self.low[virgin & (gives > 0)] = -self.beta
        self.high[virgin & (gives < 0)] = self.beta

    def load(self, moment):
        """Put a moment on every section, by Newton's steps from elastic: fibres yield one by one on the way."""
        moment = np.broadcast_to(np.asarray(moment, float), self.curvature.shape)
        curvature, rows = self.curvature.copy(), np.arange(self.curvature.size)
        for step in range(100):
            strain = curvature[rows, None] * HEIGHT - self.plastic[rows]
            stress = np.clip(strain, self.low[rows], self.high[rows])
            miss = moment[rows] - stress @ ARM
            off = np.abs(miss) >= 1e-12
            if not off.any():
                self.bend_to(curvature)
                return self
            stiffness = (stress[off] == strain[off]) @ (ARM * HEIGHT) if step else np.ones(off.sum())
            if not np.all(stiffness > 0):
                break
            rows = rows[off]
            curvature[rows] += miss[off] / stiffness
        raise ArithmeticError("no curvature bears this moment")

    def left(self):
        """Curvature once it is let go."""
        self.load(0.0)
        return self.curvature


class Bar:
    """A stepped bar of a record's sizes and metal; its own bend is not asked."""

    def __init__(self, record, sections=SECTIONS):
        self.thin = float(record.relief_thickness / record.thickness)
        self.bends = 2 * float(record.yield_strength / (record.youngs_modulus * record.relief_thickness))
        tip = float(record.tip_from_root)
        step = min(float(record.relief_length), tip)
        along = np.linspace(0, 1, sections)
        ends = [(0.0, step), (step, tip)]
        self.x = [start + (end - start) * along**2 for start, end in ends]
        weight = np.full(sections, 1 / (sections - 1))
        weight[[0, -1]] /= 2
        self.size = [2 * (end - start) * along * weight for start, end in ends]
        self.rows = [Row(sections, float(record.reverse_yield)) for _ in ends]

    def line(self, share, place):
        """Moments of a push at `place`, in relief and full bar, each over its own first yield."""
        reach = [share * np.maximum(1 - x / place, 0) for x in self.x]
        return reach[0], reach[1] * self.thin**2

    def push(self, share, place):
        """Push and hold."""
        return self.put(*self.line(share, place))

    def put(self, near, far):
        """Moments of any kind on relief and full bar, held."""
        for row, moment in zip(self.rows, (near, far), strict=True):
            row.load(moment)
        return self

    def let_go(self):
        return self.put(0.0, 0.0)

    def offset(self, at):
        """Offset from flat at `at`, as it stands [m]."""
        parts = [
            np.sum(row.curvature * np.maximum(at - x, 0) * size)
            for row, x, size in zip(self.rows, self.x, self.size, strict=True)
        ]
        return self.bends * (parts[0] + self.thin * parts[1])

    def first_yield(self, place):
        """Share of an outward push at `place` at which the first fibre yields, and where that fibre is [m]."""
        least, where = np.inf, np.nan
        for row, x, moment in zip(self.rows, self.x, self.line(-1.0, place), strict=True):
            unit = moment[:, None] * HEIGHT
            room = np.where(unit < 0, (row.low - row.stress()) / np.where(unit < 0, unit, 1), np.inf)
            if room.min() < least:
                least, where = room.min(), x[np.unravel_index(room.argmin(), room.shape)[0]]
        return least, where

    def face(self):
        """Stress of the inner face along relief and full bar, tension positive."""
        return [-row.stress()[:, -1] for row in self.rows]

    def gave(self):
        """Plastic strain of every fibre."""
        return np.concatenate([row.plastic for row in self.rows])
