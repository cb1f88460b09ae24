"""Five unlike knives: slim and in inches, a heavy blade, a thin liner, a ball that floats, a measured bar.

Invented for the tests.
"""

SLIM = """
name = "slim gent"
[bar]
material = "Ti-6Al-4V"
thickness = "0.080 in"
width = "0.200 in"
relief_thickness = "30 thou"
relief_length = "0.25 in"
ball_from_root = "1.15 in"
tip_from_root = "1.30 in"
bend = "75 thou"
lockup_travel = "20 thou"
[ball]
diameter = "1/16 in"
material = "52100"
protrusion = "22 thou"
[dimple]
pilot_drill = "#55"
pilot_depth = "20 thou"
rim_drill = "#54"
rim_feed = "2 thou"
overclose = "2 thou"
[tang]
pivot_to_ball = "0.22 in"
face_gap = "16 thou"
hardness = "60 HRC"
[opener]
radius = "0.32 in"
push_angle = "15 deg"
leaves_at = "50 deg"
[pivot]
kind = "washers"
washer_inner = "3/16 in"
washer_outer = "5/16 in"
[blade]
length = "2.5 in"
root_width = "0.6 in"
tip_width = "0.1 in"
thickness = "0.09 in"
open_angle = "180 deg"
[target]
breakout_force = { change = "-20 %" }
falls_shut = true
opens_fully = true
"""

HEAVY = """
name = "heavy camp folder"
[bar]
material = "17-4PH"
thickness = "4 mm"
width = "12 mm"
relief_thickness = "1.2 mm"
relief_length = "12 mm"
ball_from_root = "52 mm"
tip_from_root = "60 mm"
bend = "3 mm"
[ball]
diameter = "3 mm"
material = "zirconia"
protrusion = "1.2 mm"
hole_drill = "2.95 mm"
hole_depth = "2 mm"
[dimple]
pilot_drill = "2.7 mm"
pilot_depth = "1 mm"
rim_drill = "2.9 mm"
rim_feed = "0.1 mm"
overclose = "0.05 mm"
[tang]
pivot_to_ball = "8 mm"
face_gap = "0.9 mm"
hardness = "61 HRC"
[opener]
radius = "14 mm"
push_angle = "20 deg"
leaves_at = "55 deg"
[pivot]
kind = "bearings"
[blade]
mass = "120 g"
balance_radius = "42 mm"
inertia = "300 kg*mm**2"
open_angle = "175 deg"
[overtravel]
gap = "0.8 mm"
[clip]
material = "301 full hard"
length = "45 mm"
width = "10 mm"
thickness = "1.2 mm"
preset = "0.5 mm"
[target]
breakout_force = { at_least = "14 N", at_most = "20 N" }
carry_g = { at_least = 3 }
opens_fully = true
falls_shut = true
"""

LINER = """
name = "light liner"
[bar]
material = "301 full hard"
thickness = "1.2 mm"
width = "6 mm"
ball_from_root = "30 mm"
tip_from_root = "34 mm"
bend = "3.5 mm"
bend_at = "along"
root = "edge"
[ball]
diameter = "1.5 mm"
material = "silicon nitride"
protrusion = "0.45 mm"
[dimple]
pilot_drill = "1.3 mm"
pilot_depth = "0.5 mm"
rim_drill = "none"
overclose = "0.03 mm"
[tang]
pivot_to_ball = "5 mm"
face_gap = "0.35 mm"
hardness = "58 HRC"
[opener]
radius = "8 mm"
push_angle = "15 deg"
leaves_at = "45 deg"
[pivot]
kind = "washers"
washer_inner = "4 mm"
washer_outer = "8 mm"
[blade]
mass = "9 g"
balance_radius = "22 mm"
inertia = "6 kg*mm**2"
open_angle = "178 deg"
[target]
falls_shut = true
breakout_force = { at_least = "4 N", at_most = "6 N" }
"""

FLOATING = """
name = "floating ball"
hand = "right"
units = "as typed"
[bar]
material = "Ti-6Al-4V"
thickness = "3.0 mm"
width = "8 mm"
relief_thickness = "0.9 mm"
relief_length = "10 mm"
relief_side = "outer"
ball_from_root = "44 mm"
tip_from_root = "50 mm"
bend = "0.6 mm"
[ball]
diameter = "2 mm"
material = "silicon nitride"
protrusion = "0.35 mm"
[dimple]
pilot_drill = "1.8 mm"
pilot_depth = "0.6 mm"
rim_drill = "1.9 mm"
rim_feed = "0.05 mm"
point_angle = "118 deg"
overclose = "0.05 mm"
[tang]
pivot_to_ball = "7 mm"
face_gap = "1.9 mm"
material = "hardened steel"
hardness = "60 HRC"
[opener]
radius = "10.5 mm"
push_angle = "20 deg"
push = "fixed"
leaves_at = "60 deg"
[pivot]
kind = "bearings"
friction_torque = "0.8 N*mm"
[blade]
mass = "30 gram"
balance_radius = "34 mm"
inertia = "40 kg*mm**2"
open_angle = "180 deg"
[target]
breakout_force = { at_least = "9 N", at_most = "13 N" }
falls_shut = true
"""

MEASURED = """
name = "measured bar"
[bar]
material = "Ti-6Al-4V"
thickness = "0.125 in"
width = "8.5 mm"
relief_thickness = "1 mm"
relief_length = "9 mm"
ball_from_root = "40 mm"
tip_from_root = "46 mm"
bend = "2.4 mm"
measured = { pull = "1.1 lbf", travel = "1.0 mm", at = "46 mm" }
pushed_back = "3 mm"
[ball]
diameter = "5/64 in"
material = "ruby"
protrusion = "0.8 mm"
[dimple]
pilot_drill = "#50"
pilot_depth = "0.6 mm"
rim_drill = "#48"
rim_feed = "0.08 mm"
overclose = "0.06 mm"
[tang]
pivot_to_ball = "6.5 mm"
face_gap = "0.7 mm"
hardness = "60 HRC"
[opener]
radius = "11 mm"
push_angle = "20 deg"
leaves_at = "60 deg"
[pivot]
kind = "bearings"
friction_torque = "1 N*mm"
[friction]
ball_on_tang = "dry as handled"
[blade]
mass = "38 g"
balance_radius = "36 mm"
inertia = "60 kg*mm**2"
open_angle = "180 deg"
[target]
breakout_force = { at_least = "20 N", at_most = "24 N" }
drag_force = { at_most = "0.5 N" }
"""

KNIVES = {"slim": SLIM, "heavy": HEAVY, "liner": LINER, "floating": FLOATING, "measured": MEASURED}
