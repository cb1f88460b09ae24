"""Contact limits: Hertz pressure of the ball on the tang's flat, and the press fit of the ball in its hole."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.results import number
from detentsim.mechanics.contact import hertz, press
from detentsim.mechanics.detent import balance

if TYPE_CHECKING:
    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain
    from detentsim.mechanics.detent.solution import SolvedDetent
    from detentsim.mechanics.record import Record
    from detentsim.shop.materials import Material

MPA, UM, MM = 1e6, 1e-6, 1e-3

# Friction of a dry press fit, steel or titanium (DIN 7190 gives 0.1 to 0.2 for steel; the middle is chosen).
PRESS_FRICTION = 0.15


@dataclass(frozen=True)
class FlatContact:
    """Ball on the tang's flat: forces in N, stresses in MPa, lengths in um.

    Attributes
    ----------
    force, pressure, limit : float
        Of the ball; the peak pressure; what ISO 76 allows for the tang's hardness.
    force_at_limit : float
        That brings the pressure to the limit.
    radius, approach : float
        Of the patch, and how far ball and flat come together.
    shear, depth : float
        Greatest shear stress, and how deep it lies.
    yield_pressure, yield_force : float
        At which the flat first yields, inside (hardness/3 by rule of thumb).
    dent : float
        Estimated depth of the first dent; 0 below first yield.
    ball_tension, ball_strength : float, float or None
        Tension at the patch's edge in the ball, and the bending strength of a large piece of a ceramic one.
    ball_cracks : float or None
        Force at which a ring crack starts in a ceramic ball.
    """

    force: float
    pressure: float
    limit: float
    force_at_limit: float
    radius: float
    approach: float
    shear: float
    depth: float
    yield_pressure: float
    yield_force: float
    dent: float
    ball_tension: float
    ball_strength: float | None
    ball_cracks: float | None


def read_contact(solved: SolvedDetent, ball: Material | None = None) -> FlatContact:
    """Contact force, pressure, dent and tension of the ball on the flat, for one design.

    Parameters
    ----------
    solved : SolvedDetent
        One design.
    ball : Material, optional
        Of the ball; its strength is given only where this is known.
    """
    record = solved.record
    force = float(balance.ball_force(solved.spring, 0.0))
    radius, modulus = record.ball_radius, _modulus(record)
    pressure, limit = float(hertz.pressure_on_tang(record, force)), float(hertz.pressure_limit(record.tang_hardness))
    patch = float(hertz.contact_radius(force, radius, modulus))
    ratio, depth = (float(part) for part in hertz.largest_shear(record.tang_poisson))
    first = float(hertz.first_yield_pressure(record.tang_hardness * hertz.VICKERS / 3, record.tang_poisson))
    return FlatContact(
        force=force,
        pressure=pressure / MPA,
        limit=limit / MPA,
        force_at_limit=float(hertz.force_at_pressure(limit, radius, modulus)),
        radius=patch / UM,
        approach=float(hertz.approach(force, radius, modulus)) / UM,
        shear=ratio * pressure / MPA,
        depth=depth * patch / UM,
        yield_pressure=first / MPA,
        yield_force=float(hertz.force_at_pressure(first, radius, modulus)),
        dent=float(hertz.dent_depth(record, force)) / UM,
        ball_tension=float(hertz.edge_tension(pressure, record.ball_poisson)) / MPA,
        ball_strength=None if ball is None or ball.flexural_strength is None else ball.flexural_strength / MPA,
        ball_cracks=_cracks(record, ball),
    )


def _cracks(record: Record, ball: Material | None) -> float | None:
    """Contact force at the first ring crack in the ball [N]."""
    if ball is None or ball.fracture_toughness is None:
        return None
    return float(hertz.ring_crack_force(ball.fracture_toughness, record.ball_modulus, record.ball_radius))


def _modulus(record: Record) -> float:
    two = hertz.contact_modulus(record.ball_modulus, record.ball_poisson, record.tang_modulus, record.tang_poisson)
    return float(two)


@dataclass(frozen=True)
class PressFit:
    """Press fit of the ball in the bar; lengths in mm, forces in N, stresses in MPa, None without a hole size.

    Attributes
    ----------
    past_equator : float
        Depth of the ball's middle inside the bar's face; negative where less than half of it is in.
    hole, interference : float or None
        Diameter of the hole, and by how much the ball is larger.
    pressure : float or None
        The hole's grip, as on a cylinder; None where the hole bursts or the ball is loose.
    plastic : float or None
        Diameter out to which the metal round the hole yields; None where it does not.
    around : float
        Diameter of the metal there is round the hole, to the bar's nearest edge.
    force : float or None
        Upper guide to the axial force that holds it, and that presses it in.
    load : float
        Force of the tang on the ball.
    bursts : bool
        Whether the metal round the hole yields right through.
    """

    past_equator: float
    hole: float | None
    interference: float | None
    pressure: float | None
    plastic: float | None
    around: float
    force: float | None
    load: float
    bursts: bool


def read_press_fit(build: Build, numbers: Plain, solved: SolvedDetent) -> PressFit:
    """Press fit of the ball in its hole, for one design.

    Parameters
    ----------
    build : Build
        Its layout tells where the ball is across the bar: in the middle without one.
    numbers : dict
        Its plain numbers.
    solved : SolvedDetent
        One design.
    """
    record = solved.record
    size, hole = number(numbers, "ball.diameter"), number(numbers, "ball.hole_drill")
    width, across = float(record.width), float(record.width) / 2 if build.layout is None else build.layout.from_edge
    around = 2 * max(min(across, width - across, float(record.tip_from_root - record.ball_from_root)), 0.0)
    bar, core = (record.youngs_modulus, record.poissons_ratio), (record.ball_modulus, record.ball_poisson)
    ring = max(around, 1.001 * hole)
    pressure, reach = press.grip_pressure(size - hole, hole, ring, bar, core, record.yield_strength)
    grips = size > hole
    bursts = grips and (around <= hole or bool(np.isnan(pressure)))
    force = press.holding_force(pressure, hole, press.belt(size, hole), PRESS_FRICTION)
    return PressFit(
        past_equator=(size / 2 - number(numbers, "ball.protrusion")) / MM,
        hole=None if np.isnan(hole) else hole / MM,
        interference=None if np.isnan(hole) else (size - hole) / MM,
        pressure=float(pressure) / MPA if grips and not bursts else None,
        plastic=float(reach) * hole / MM if grips and not bursts and float(reach) > 1 else None,
        around=around / MM,
        force=float(force) if grips and not bursts else None,
        load=max(float(balance.ball_force(solved.spring, 0.0)), 0.0),
        bursts=bursts,
    )
