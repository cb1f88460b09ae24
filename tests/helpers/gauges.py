"""Made-up gauges: tables as a maker's force gauge would give them, from a build whose feel is known."""

import functools

import numpy as np

import detentsim as ds

NEWTONS = {"N": 1.0, "lbf": 4.4482216152605, "ozf": 0.27801385095378125, "gf": 9.80665e-3}
DEGREES = {"deg": 1.0, "rad": 180 / np.pi, "arcmin": 1 / 60}


@functools.cache
def true_curve(build, last=12.0):
    """Angle [deg] and force [N] of a build, up to an angle."""
    angle, _, _, force = ds.curve(build).columns
    keep = (angle <= last + 2.5) & np.isfinite(force)
    return angle[keep], force[keep]


def readings(build, count=300, noise=0.0, last=12.0, seed=1, factor=1.0, peak=False):
    """One run, unevenly spaced and denser near closed: angle [deg], force [N]."""
    angle, force = true_curve(build, last)
    made = np.random.default_rng(seed)
    x = np.sort(made.uniform(0, 1, count)) ** 1.5 * (last - angle[0]) + angle[0]
    if peak:
        top = angle[int(np.argmax(force))]
        x = np.sort(np.append(x, top - 1e-7))  # a jump starts there
    return x, factor * np.interp(x, angle, force) + noise * made.normal(size=x.size)


def table(runs, unit="N", angle_unit="deg", mark=",", heading="angle ({}){} force ({})"):
    """Text of a table of runs; a column run where there are several."""
    several = len(runs) > 1
    lines = [heading.format(angle_unit, mark, unit) + (f"{mark} run" if several else "")]
    for number, (angle, force) in enumerate(runs, 1):
        for x, y in zip(angle / DEGREES[angle_unit], force / NEWTONS[unit], strict=True):
            lines.append(f"{x:.9g}{mark} {y:.9g}" + (f"{mark} {number}" if several else ""))
    return "\n".join(lines) + "\n"
