"""Parts of a build as frozen records; every attribute is a `Value`, or None when absent.

Base class of `Build`: ``build.bar.thickness``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from detentsim.knife.table.schema import section_inputs

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.knife.table.value import Value


@dataclass(frozen=True)
class Bar:
    """The lock bar."""

    material: Value | None = None
    youngs_modulus: Value | None = None
    poissons_ratio: Value | None = None
    yield_strength: Value | None = None
    thickness: Value | None = None
    width: Value | None = None
    relief_thickness: Value | None = None
    relief_length: Value | None = None
    relief_side: Value | None = None
    root: Value | None = None
    ball_from_root: Value | None = None
    tip_from_root: Value | None = None
    bend: Value | None = None
    bend_at: Value | None = None
    bend_push_at: Value | None = None
    reverse_yield: Value | None = None
    pushed_back: Value | None = None
    lockup_travel: Value | None = None
    calibration: Value | None = None
    measured_pull: Value | None = None
    measured_travel: Value | None = None
    measured_at: Value | None = None
    stiffness: Value | None = None
    lateral_stiffness: Value | None = None


@dataclass(frozen=True)
class Ball:
    """The detent ball and its hole in the bar."""

    diameter: Value | None = None
    material: Value | None = None
    protrusion: Value | None = None
    hole_drill: Value | None = None
    hole_depth: Value | None = None


@dataclass(frozen=True)
class Dimple:
    """The drilled dimple in the tang."""

    pilot_drill: Value | None = None
    pilot_depth: Value | None = None
    rim_drill: Value | None = None
    rim_feed: Value | None = None
    loose_ball_height: Value | None = None
    point_angle: Value | None = None
    pilot_point_angle: Value | None = None
    rim_point_angle: Value | None = None
    edge_radius: Value | None = None
    overclose: Value | None = None
    radial_error: Value | None = None
    hole_oversize: Value | None = None


@dataclass(frozen=True)
class Tang:
    """The blade's tang under the ball."""

    pivot_to_ball: Value | None = None
    face_gap: Value | None = None
    material: Value | None = None
    hardness: Value | None = None
    travel_angle: Value | None = None


@dataclass(frozen=True)
class Stop:
    """The closed stop."""

    radius: Value | None = None
    pin_change: Value | None = None


@dataclass(frozen=True)
class Blade:
    """Mass, balance, inertia and shape of the blade."""

    mass: Value | None = None
    balance_radius: Value | None = None
    inertia: Value | None = None
    pendulum_period: Value | None = None
    length: Value | None = None
    root_width: Value | None = None
    tip_width: Value | None = None
    thickness: Value | None = None
    grind: Value | None = None
    open_angle: Value | None = None


@dataclass(frozen=True)
class Pivot:
    """Friction and clearance of the pivot, washers included."""

    kind: Value | None = None
    friction_torque: Value | None = None
    pull_force: Value | None = None
    pull_at: Value | None = None
    washer_inner: Value | None = None
    washer_outer: Value | None = None
    washer_friction: Value | None = None
    clearance: Value | None = None
    washer_thickness: Value | None = None
    handle_pocket: Value | None = None
    tang_pocket: Value | None = None


@dataclass(frozen=True)
class Opener:
    """Place and direction of the finger's push."""

    radius: Value | None = None
    push_angle: Value | None = None
    push: Value | None = None
    leaves_at: Value | None = None


@dataclass(frozen=True)
class Friction:
    """Friction coefficients of ball on tang."""

    ball_on_tang: Value | None = None
    ball_on_tang_static: Value | None = None


@dataclass(frozen=True)
class Grip:
    """A push on the bar while the blade is opened."""

    force: Value | None = None
    from_root: Value | None = None


@dataclass(frozen=True)
class Finger:
    """The finger in motion."""

    effort: Value | None = None
    speed_limit: Value | None = None
    shape: Value | None = None


@dataclass(frozen=True)
class Attitude:
    """Attitude of the knife in motion."""

    tilt: Value | None = None
    down_angle: Value | None = None
    close_from: Value | None = None


@dataclass(frozen=True)
class Overtravel:
    """Stop that limits the bar's outward travel."""

    gap: Value | None = None
    from_root: Value | None = None
    stiffness: Value | None = None
    push: Value | None = None


@dataclass(frozen=True)
class Clip:
    """The pocket clip."""

    material: Value | None = None
    length: Value | None = None
    width: Value | None = None
    thickness: Value | None = None
    preset: Value | None = None
    cloth: Value | None = None
    gap: Value | None = None
    from_root: Value | None = None


class Parts:
    """The parts of a build, made from its values by dotted name."""

    values: Mapping[str, Value]

    def _part(self, section: str) -> dict[str, Any]:
        return {i.key.replace(".", "_"): self.values.get(i.name) for i in section_inputs(section)}

    @property
    def bar(self) -> Bar:
        """The lock bar."""
        return Bar(**self._part("bar"))

    @property
    def ball(self) -> Ball:
        """The detent ball."""
        return Ball(**self._part("ball"))

    @property
    def dimple(self) -> Dimple:
        """The drilled dimple."""
        return Dimple(**self._part("dimple"))

    @property
    def tang(self) -> Tang:
        """The tang under the ball."""
        return Tang(**self._part("tang"))

    @property
    def stop(self) -> Stop:
        """The closed stop."""
        return Stop(**self._part("stop"))

    @property
    def blade(self) -> Blade:
        """Mass, balance, inertia and shape of the blade."""
        return Blade(**self._part("blade"))

    @property
    def pivot(self) -> Pivot:
        """Friction and clearance of the pivot, washers included."""
        return Pivot(**self._part("pivot"))

    @property
    def opener(self) -> Opener:
        """Place and direction of the finger's push."""
        return Opener(**self._part("opener"))

    @property
    def friction(self) -> Friction:
        """Friction coefficients of ball on tang."""
        return Friction(**self._part("friction"))

    @property
    def grip(self) -> Grip:
        """A push on the bar."""
        return Grip(**self._part("grip"))

    @property
    def finger(self) -> Finger:
        """The finger in motion."""
        return Finger(**self._part("finger"))

    @property
    def attitude(self) -> Attitude:
        """Attitude of the knife in motion."""
        return Attitude(**self._part("attitude"))

    @property
    def overtravel(self) -> Overtravel:
        """Stop that limits the bar's outward travel."""
        return Overtravel(**self._part("overtravel"))

    @property
    def clip(self) -> Clip:
        """The pocket clip."""
        return Clip(**self._part("clip"))
