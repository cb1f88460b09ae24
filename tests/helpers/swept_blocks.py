"""A sweep whose designs need several blocks: what it varies and asks for."""

from detentsim.mechanics.names import RESULT_NAMES

VARY = {
    "bar.relief_thickness": ["0.9 mm", "1.3 mm", "3.1 mm"],
    "dimple.overclose": ("-0.05 mm", "0.08 mm", 9),
    "bar.lateral_stiffness": ["rigid", "120 N/mm"],
    "bar.bend": ("0 mm", "2.4 mm", 5),
}
OF = [*RESULT_NAMES, "falls_shut"]
