"""Ball and rim as elastic bodies, solved apart from the package: finite elements round the axis, then the contact.

Both bodies are axisymmetric; a line load `cos(n phi)` round the contact ring moves each by `cos(n phi)`, and finite
elements (scikit-fem) give that flexibility at one width of contact. The width's own logarithm is Hertz's. With the
flexibilities of all n the line load round the ring follows from what ball and rim would overlap, with friction at each
point of it against the ball's motion. Lengths in mm, forces in N, moduli in N/mm^2; meshes for a ball of radius 1.
"""

import functools

import numpy as np
import skfem
from scipy.optimize import brentq
from scipy.spatial import Delaunay
from skfem.helpers import grad

WAVES = np.array([0, 1, 2, 3, 4, 6, 8, 12])
WIDTH = 1e-3  # half width of contact in the meshes
# A strip of even pressure that moves its middle as much as Hertz's pressure of half width 1 (K. L. Johnson, 1985).
STRIP = np.exp(0.5) / 2
POISSON = 0.3
POINT = np.deg2rad(31)  # slope of a drill point of 118 degrees


def rim_mesh(hole, edge, sine, strip, ends=None, far=8.0, across=14, growth=1.3):
    """Triangles about the contact point on the rounded edge of a drilled hole, finer toward it.

    `ends` has slope [rad] and length of the ways beyond the rounding, inward to the axis and outward to the face; by
    default the hole's wall and its drill point, and none.
    """
    angle, out = np.arcsin(sine), hole + edge
    point = np.array([out - edge * sine, edge * np.cos(angle) - edge])
    within, beyond = ends or (((np.pi / 2, 0.75 - edge), (POINT, hole / np.cos(POINT))), ())

    def on_arc(turn):
        return np.array([out - edge * np.sin(turn), edge * np.cos(turn) - edge])

    def along(way, ways, sign):
        to_arc = sign * (ways[0][0] - angle) * edge
        if way < to_arc:
            return on_arc(angle + sign * way / edge)
        place, way = on_arc(ways[0][0]), way - to_arc
        for slope, length in ways:
            step = min(way, length)
            place, way = place - sign * step * np.array([np.cos(slope), np.sin(slope)]), way - step
        return place

    def inward(way):
        return along(way, (*within, (np.pi / 2, np.inf)), 1)

    def outward(way):
        return along(way, (*beyond, (0.0, np.inf)), -1)

    def at(path, reach):
        return path(brentq(lambda way: np.hypot(*(path(way) - point)) - reach, 0, 4 * reach + 3))

    reach = list(strip * np.linspace(0, 1, 9)[1:])
    while reach[-1] < far:
        reach.append(reach[-1] + max(strip / 8, (growth - 1) * reach[-1]))
    points = [point]
    for size in reach:
        ends = at(inward, size), at(outward, size)
        low, high = (np.arctan2(*(end - point)[::-1]) for end in ends)
        turns = np.linspace(low - 2 * np.pi * (low > high), high, across + 1)
        ring = point + size * np.stack([np.cos(turns), np.sin(turns)], 1)
        points += [ends[0], *ring[1:-1], ends[1]]
    places = np.array(points)
    places[np.abs(places[:, 0]) < 1e-12, 0] = 0
    rows = 1 + np.arange(len(reach) * (across + 1)).reshape(len(reach), -1)
    near = [(0, rows[0, i], rows[0, i + 1]) for i in range(across)]
    x, y = rows[:-1], rows[1:]
    cells = [(x[:, :-1], y[:, :-1], y[:, 1:]), (x[:, :-1], y[:, 1:], x[:, 1:])]
    rest = np.concatenate([np.stack([np.ravel(part) for part in cell], 1) for cell in cells])
    return skfem.MeshTri(places.T.copy(), np.concatenate([near, rest]).T.copy()), point, reach[-1]


def ball_mesh(sine, strip, rings=10):
    """Triangles in half a disc of radius 1, refined toward the contact point."""
    point = np.array([sine, -np.sqrt(1 - sine**2)])
    places = [
        (size * np.sin(turn), -size * np.cos(turn))
        for size in np.linspace(0, 1, rings + 1)
        for turn in (np.linspace(0, np.pi, int(np.ceil(np.pi * size * rings)) + 1) if size else [0.0])
    ]
    spread = np.array(places)
    spread[np.argmin(np.hypot(*(spread - point).T))] = point
    spread[np.abs(spread[:, 0]) < 1e-12, 0] = 0
    cells = Delaunay(spread).simplices
    (a, b), (c, d) = ((spread[cells[:, i]] - spread[cells[:, 0]]).T for i in (1, 2))
    mesh, size = skfem.MeshTri(spread.T.copy(), cells[np.abs(a * d - b * c) > 1e-9].T.copy()), 1 / rings
    while size > strip / 6:
        middle = mesh.p[:, mesh.t].mean(1)
        mesh = mesh.refined(np.flatnonzero(np.hypot(*(middle - point[:, None])) < 3.5 * size))
        moved, outer = mesh.p.copy(), mesh.boundary_nodes()
        outer = outer[moved[0, outer] > 1e-9]
        moved[:, outer] /= np.hypot(*moved[:, outer])
        mesh, size = skfem.MeshTri(moved, mesh.t), size / 2
    return mesh, point


def stiffness(mesh):
    """Basis, and stiffness of the waves `n` in powers of n, for Young's modulus 1; displacements (r, z, hoop)."""
    basis = skfem.Basis(mesh, skfem.ElementVector(skfem.ElementTriP2(), 3), intorder=4)
    lame, shear = POISSON / ((1 + POISSON) * (1 - 2 * POISSON)), 1 / (2 * (1 + POISSON))

    def strain(field, radius):
        g, f = grad(field), np.asarray(field)
        even = g[0][0], f[0] / radius, g[1][1], g[0][1] + g[1][0], g[2][0] - f[2] / radius, g[2][1]
        return even, (0, f[2] / radius, 0, 0, -f[0] / radius, -f[1] / radius)

    def part(i, j):
        def energy(u, v, w):
            s, t = strain(u, w.x[0])[i], strain(v, w.x[0])[j]
            volume = (s[0] + s[1] + s[2]) * (t[0] + t[1] + t[2])
            direct = s[0] * t[0] + s[1] * t[1] + s[2] * t[2]
            return w.x[0] * (lame * volume + shear * (2 * direct + s[3] * t[3] + s[4] * t[4] + s[5] * t[5]))

        return skfem.BilinearForm(energy).assemble(basis)

    mixed = part(1, 0)
    return basis, (part(0, 0), mixed + mixed.T, part(1, 1))


def flexibilities(mesh, point, along, strip, fixed):
    """Movement of the contact point along the load for a line load of 1 in each of `WAVES`, Young's modulus 1."""
    basis, powers = stiffness(mesh)
    facets = mesh.boundary_facets()
    ends = mesh.p[:, mesh.facets[:, facets]]
    near = np.all(np.hypot(*(ends - point[:, None, None])) < 1.01 * strip, 0) & ~np.all(ends[0] < 1e-9, 0)
    surface = skfem.FacetBasis(mesh, basis.elem, facets=facets[near], intorder=6)
    length = skfem.Functional(lambda w: 1 + 0 * w.x[0]).assemble(surface)
    load = skfem.LinearForm(lambda v, _: (along[0] * v[0] + along[1] * v[1]) * point[0] / length).assemble(surface)
    where, kind = basis.doflocs, np.arange(basis.N) % 3
    there = basis.nodal_dofs[:2, np.argmin(np.hypot(*(mesh.p - point[:, None])))]
    moved = []
    for n in WAVES:
        axis = (where[0] < 1e-9) & ((n >= 2) | (kind == (1 if n else 0)))
        held = fixed(*where) | axis | ((kind == 2) & (n == 0))
        matrix = sum(n**i * power for i, power in enumerate(powers)).tocsr()
        moved.append(along @ skfem.solve(*skfem.condense(matrix, load, D=np.flatnonzero(held)))[there])
    return np.array(moved) + 2 * (1 - POISSON**2) / np.pi * np.log(length / 2 / strip)


@functools.cache
def both(hole, edge, sine=None, ends=None):
    """Flexibilities of ball and rim for a hole and an edge radius over the ball's radius; contact half width `WIDTH`.

    The ball is held at its upper half, as by the bar, the tang far away. Sine of the contact angle by default that of
    the centred ball; `ends` as of `rim_mesh`.
    """
    strip, sine = WIDTH * STRIP, (hole + edge) / (1 + edge) if sine is None else sine
    push = np.array([sine, -np.sqrt(1 - sine**2)])
    mesh, point, far = rim_mesh(hole, edge, sine, strip, ends)
    away = functools.partial(lambda at, r, z: np.hypot(r - at[0], z - at[1]) > 0.97 * far, point)
    rim = flexibilities(mesh, point, push, strip, away)
    mesh, point = ball_mesh(sine, strip)
    return flexibilities(mesh, point, -push, strip, lambda r, z: (np.hypot(r, z) > 0.97) & (z > 0)), rim


class Pair:
    """A ball in a drilled hole with a broken edge, sizes in mm."""

    def __init__(self, ball, hole, edge, moduli=(210e3, 210e3), places=64):
        self.ball, self.edge, self.out = ball, edge, hole + edge
        give = [(1 - POISSON**2) / modulus for modulus in moduli]
        self.slope = 2 / np.pi * sum(give)
        self.sine = self.out / (ball + edge)
        each = self.gives(round(hole / ball, 9), round(edge / ball, 9))
        flexible = sum(one / modulus for one, modulus in zip(each, moduli, strict=True))
        waves = np.arange(places)
        known = np.interp(np.log(np.maximum(waves, 0.5)), np.log(np.maximum(WAVES, 0.5)), flexible)
        # Of short waves along a strip: the logarithm of the wave's length.
        beyond = flexible[-1] - self.slope * np.log(np.maximum(waves, 1) / WAVES[-1])
        self.around = np.pi * (waves + 0.5) / places
        shapes = np.cos(np.outer(self.around, waves))
        share = np.where(waves == 0, 1, 2) / places
        self.give = (shapes * np.where(waves > WAVES[-1], beyond, known) * share) @ shapes.T

    def gives(self, hole, edge):
        """Flexibilities of ball and rim, of hole and edge radius over the ball's."""
        return both(hole, edge)

    def line_load(self, offset, height):
        """Line load round the ring for the ball's centre beside the axis and above the edge's, and their distances."""
        apart = np.sqrt(height**2 + self.out**2 + offset**2 - 2 * self.out * offset * np.cos(self.around))
        overlap = self.ball + self.edge - apart
        across = self.ball * self.edge / (self.ball + self.edge)
        load = np.full(overlap.size, 10.0)
        for _ in range(100):
            width = np.sqrt(2 * np.maximum(load, 1e-4) * across * self.slope)
            give = self.give + np.diag(self.slope * np.log(WIDTH * self.ball / width))
            active, new = overlap > 0, np.zeros(overlap.size)
            while active.any():
                new[:] = 0
                new[active] = np.linalg.solve(give[np.ix_(active, active)], overlap[active])
                if np.all(new >= 0):
                    break
                active = new > 0
            change, load = np.max(np.abs(new - load)), new
            if change < 1e-9 * max(new.max(), 1e-9):
                break
        return load, apart

    def forces(self, offset, height, climb, friction):
        """Force along the axis and across it, and the line load; the ball moves outward, `climb` per offset."""
        load, apart = self.line_load(offset, height)
        across = self.out * np.cos(self.around) - offset
        normal = np.stack([-across, -self.out * np.sin(self.around), np.full(apart.size, height)]) / apart
        motion = np.stack([np.ones(apart.size), np.zeros(apart.size), np.full(apart.size, climb)])
        slides = motion - np.sum(motion * normal, axis=0) * normal
        push = (normal - friction * slides / np.linalg.norm(slides, axis=0)) * load
        total = 2 * np.pi * self.ball * self.sine * push.mean(axis=1)
        return total[2], -total[0], load

    def settled(self, offset, force, climb, friction):
        """Height at which the rim carries `force`, force across, greatest line load; `climb` is a rule of height."""
        rigid = self.rigid_height(offset)

        def lacks(sunk):
            height = rigid - sunk
            return self.forces(offset, height, climb(height), friction)[0] - force

        height = rigid - brentq(lacks, 1e-7 * self.ball, 0.06 * self.ball, xtol=1e-9, rtol=1e-9)
        _, across, load = self.forces(offset, height, climb(height), friction)
        return height, across, load.max()

    def stored(self, offset, height):
        """Elastic energy: the line load over the overlap as it grows, whose give falls as the contact widens."""
        load, apart = self.line_load(offset, height)
        each = load * (self.ball + self.edge - apart) / 2 - self.slope * load**2 / 8
        return 2 * np.pi * self.ball * self.sine * each.mean()

    def on_a_bar(self, offset, push):
        """Push of a bar, force across and stored energy where the bar pushes by a rule of the height; no friction."""
        height = self.rigid_height(offset)
        for _ in range(4):  # the contact is a thousand times stiffer than the bar
            force = push(height)
            height, across, _ = self.settled(offset, force, lambda _: 0.0, 0.0)
        return force, across, self.stored(offset, height)

    def rigid_height(self, offset):
        """Height of a rigid ball's centre above the edge's."""
        return np.sqrt((self.ball + self.edge) ** 2 - (self.out - offset) ** 2)

    def curve(self, offsets, force, friction):
        """Height, force across and greatest line load at offsets from 0 outward, under a force along the axis.

        The ball moves outward, or inward with friction below 0: its height follows from where it was before, since the
        friction that carries or loads it turns with its climb. Climb is that of the parabola through three heights.
        """
        order = np.argsort(offsets)[:: 1 if friction >= 0 else -1]
        found = np.zeros((len(offsets), 3))
        for row, at in enumerate(order):
            past = [(offsets[one], found[one, 0]) for one in order[max(row - 2, 0) : row]]
            found[at] = self.settled(offsets[at], force, self._climb(offsets[at], past), friction)
        return tuple(found.T)

    def _climb(self, offset, past):
        """Function that gives the climb per offset for the height, of places (offset, height) before."""
        if offset == 0:
            return lambda _: 0.0
        if not past:
            return lambda _: (self.out - offset) / self.rigid_height(offset)
        if len(past) == 1:
            past = [(-past[0][0], past[0][1]), *past] if past[0][0] == 0 else past
        (last, was), before = past[-1], past[:-1]
        if not before or before[0][0] == last:
            return lambda height: (height - was) / (offset - last)
        first, height_first = before[0]
        old = (was - height_first) / (last - first)

        def climb(height):
            new = (height - was) / (offset - last)
            return new + (new - old) * (offset - last) / (offset - first)

        return climb
