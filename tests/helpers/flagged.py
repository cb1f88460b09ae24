"""A knife that raises no flag, and one change of it for each flag."""

from helpers.records import BALL, NO_54, one_drill

# A quiet knife: one drill, modest bend, stiff sideways.
QUIET = {"lateral_compliance": 1e-6, "bend": 1.5e-3, "overclose": 0.002}


def quiet(**changes):
    return one_drill(**(QUIET | changes))


RAISED = {
    "floats": {"bend": 0, "face_gap": 0.7e-3},
    "misses_dimple": {"radial_error": 0.8e-3},
    "stopped_short": {"face_gap": 0.5e-3, "stop_gap": 0.1e-3},
    "never_lets_go": {"lateral_compliance": 1e-2},
    "lacks_lever": {"push_angle": 1.6},
    "hangs_loose": {"bend": 0},
    "bar_on_tang": {"protrusion": 0.3e-3, "face_gap": 0.2e-3},
    "ball_on_floor": {"pilot_depth": 0.05e-3, "rim_feed": 0.05e-3},
    "locks_solid": {"pilot_radius": 1.05 * BALL, "rim_radius": 1.05 * BALL, "protrusion": 0.9e-3, "face_gap": 0.5e-3},
    "stands_proud": {"overclose": -0.002},
    "snaps": {"lateral_compliance": 2e-5},
    "loses_bend": {"yield_strength": 250e6},
    "dents_tang": {"ball_radius": 0.7 * BALL, "pilot_radius": 0.7 * NO_54, "rim_radius": 0.7 * NO_54, "bend": 2.2e-3},
}
