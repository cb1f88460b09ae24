"""What coats and the pivot's details change in the record of the garden folder, in SI by hand."""

import numpy as np

THOU = 25.4e-6
BALL = 25.4e-3 / 32
WASHERS = {"pivot.kind": "washers"}
SIZED_WASHERS = WASHERS | {"pivot.washer_inner": "5 mm", "pivot.washer_outer": "20 mm"}
# A cone of 118 degrees meets its wall that share of a coat's thickness farther below the coated face.
SUNK = 1 - np.tan(np.radians(29.5))
# Arm 8 mm on a snug ring of 10 and 5 mm: 0.010498640 m, the sum over its cells within 3e-4 of it.
FACE_RADIUS = 0.010498639651978779
SMALL_WASHERS = WASHERS | {"pivot.washer_inner": "5 mm", "pivot.washer_outer": "10 mm"}

# What stands before, what is changed, and the fields that move from there.
MOVES_OF_FINISH = [
    # The profile moved out by 0.01 mm: walls in, faces up, cones along their normals.
    (
        {},
        {"tang.coating": "0.01 mm"},
        {
            "pilot_radius": 27.5 * THOU - 1e-5,
            "rim_radius": 29.75 * THOU - 1e-5,
            "pilot_depth": 0.6e-3 + 1e-5 * SUNK,
            "rim_feed": 0.07e-3 + 1e-5 * SUNK,
            "edge_radius": 0.03e-3,
            "inner_edge_radius": 1e-5,
            "face_gap": 20 * THOU - 1e-5,
        },
    ),
    ({"tang.coating": "0.01 mm", "bar.coating": "0.02 mm"}, {"pivot.seats": "coated"}, {"face_gap": 20 * THOU}),
    ({}, {"dimple.burr": "0.02 mm"}, {"burr_height": 2e-5}),
    ({}, {"bar.coating": "0.01 mm"}, {"protrusion": 25 * THOU - 1e-5, "face_gap": 20 * THOU - 1e-5}),
    ({}, {"ball.coating": "0.01 mm"}, {"ball_radius": BALL + 1e-5, "protrusion": 25 * THOU + 1e-5}),
    # A ball at 8 mm: within washers of 20 mm; outside those of 10 mm the blade tilts, 0.05 mm (1 + 2 8/10)/2.
    (SIZED_WASHERS, {"pivot.end_play": "0.05 mm"}, {"face_gap": 20 * THOU + 0.05e-3}),
    (SMALL_WASHERS, {"pivot.end_play": "0.05 mm"}, {"face_gap": 20 * THOU + 0.065e-3}),
    (SMALL_WASHERS, {"pivot.washer_contact": "face"}, {"washer_radius": FACE_RADIUS}),
    # A 3-4-5 friction circle: sin(arctan 0.75) = 0.6.
    (
        {"pivot.pin_friction": 0.75, "pivot.pin_diameter": "2 mm"},
        {"pivot.pin_diameter": "4 mm"},
        {"friction_circle": 1.2e-3},
    ),
    ({"pivot.pin_diameter": "4 mm"}, {"pivot.pin_friction": 0.75}, {"friction_circle": 1.2e-3}),
]
