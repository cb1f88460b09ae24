"""Random wrong inputs: texts of a value with its unit, build files, and builds with many inputs changed at once."""

import random
import string

from helpers.garden import GARDEN_TEXT

NUMBERS = [
    "1.2",
    "0",
    "-3",
    "1/16",
    "1 1/2",
    ".5",
    "5.",
    "1e3",
    "1e-400",
    "1e400",
    "½",
    "1 ½",
    "−2",
    "1,2",
    "1_000",
    "0x10",
]
NUMBERS += ["nan", "inf", "1/0", "９", "٣", "9**9", "1e", "--1", "1 2", "1.2.3", "1/2/3", "1e99999"]
UNITS = [
    "mm",
    "in",
    "thou",
    "mil",
    "deg",
    "rad",
    "GPa",
    "N",
    "lbf",
    "lb",
    "oz",
    "ozf",
    "gram",
    "kg*mm**2",
    "N*mm",
    "N/mm",
    '"',
    "″",
]
UNITS += [
    "",
    "furlong",
    "mm mm",
    "mm*",
    "*mm",
    "mm**9",
    "mm**99",
    "mm/mm/mm/mm",
    "degC",
    "%",
    "HRC",
    "__class__",
    "m/s",
    "kg·mm²",
]
MARKS = [
    *"+-*/^()[]{}'\"\\#.,;:~ ",
    "\t",
    "\n",
    "\x00",
    "\u200b",
    "\u00a0",
    "\u202e",
    "\ufeff",
    "±",
    "°",
    "🙂",
    "Ω",
    "ß",
]
VALUES = [
    "true",
    "nan",
    "inf",
    "-inf",
    "1e400",
    "[]",
    "{}",
    '""',
    "'1 mm'",
    '"9**9**9 mm"',
    "[1, 2]",
    "1979-05-27",
    "0x10",
    '"""1 mm"""',
]
VALUES += [
    '"1.2"',
    '"1.2 mm mm"',
    '"#54"',
    '"-1 mm"',
    '"0 mm"',
    '"1e300 mm"',
    '"1e-300 mm"',
    "3",
    "1.5",
    '"none"',
    '"1 km"',
    '{ a = "1 mm" }',
]
VALUES += [
    '{ at_least = "9 N" }',
    '{ plus_minus = "1 mm" }',
    '"%s"' % ("a" * 70),
    '"🙂"',
    '"1 mm\\u0000"',
    "1.2 mm",
    '"1.2 mm',
    "“1.2 mm”",
]


def random_text(rng: random.Random) -> str:
    """A number and a unit, each right or wrong, with up to three characters inserted, dropped or replaced."""
    text = rng.choice(NUMBERS) + rng.choice(["", " ", "  ", "\t", "*", "\u2009"]) + rng.choice(UNITS)
    return _scratched(rng, text, rng.choice([0, 0, 1, 1, 2, 3]))


def _scratched(rng: random.Random, text: str, times: int) -> str:
    for _ in range(times):
        at = rng.randrange(len(text) + 1)
        mark = rng.choice(
            [rng.choice(MARKS), rng.choice(string.printable), chr(rng.randrange(0x20, 0x3000)), text[at : at + 4]]
        )
        text = text[:at] + mark + text[at + rng.choice([0, 0, 1, 3]) :]
    return text


def random_file(rng: random.Random) -> str:
    """The garden folder's file with up to four lines changed, moved, doubled, lost, or characters scratched."""
    lines = GARDEN_TEXT.splitlines()
    for _ in range(rng.choice([1, 1, 2, 3, 4])):
        at = rng.randrange(len(lines))
        act = rng.randrange(9)
        key = lines[at].split("=")[0].strip()
        if act == 0:
            del lines[at]
        elif act == 1:
            lines.insert(rng.randrange(len(lines)), lines[at])
        elif act == 2:
            lines.insert(rng.randrange(len(lines)), lines.pop(at))
        elif act == 3:
            lines[at] = _scratched(rng, lines[at], rng.choice([1, 2, 5]))
        elif act == 4 and "=" in lines[at]:
            lines[at] = f'{key} = "{random_text(rng)}"'
        elif act == 5:
            lines[at : at + rng.randrange(6)] = []
        elif act == 6:
            lines = "\n".join(lines)[: rng.randrange(1, 2400)].splitlines() or [""]
        elif "=" in lines[at]:
            lines[at] = f"{key} = {rng.choice(VALUES)}"
        lines = lines or [""]
    return "\n".join(lines) + rng.choice(["\n", "", "\r\n"])


def _typed(millimetres: float, inch: bool) -> str:
    return f"{millimetres / 25.4!r} in" if inch else f"{millimetres!r} mm"


DRILLS = [
    ("#60", "1.016 mm"),
    ("#54", "1.397 mm"),
    ("#53", "1.5113 mm"),
    ("#52", "1.6129 mm"),
    ("1/16 in", "1.5875 mm"),
]

LENGTHS = {
    "bar.bend": (-0.5, 4), "bar.relief_thickness": (0.7, 2.2), "bar.relief_length": (5, 14), "bar.width": (5, 12),
    "ball.protrusion": (0.1, 0.9), "dimple.pilot_depth": (0.03, 1.2), "dimple.rim_feed": (0, 0.3),
    "dimple.edge_radius": (0, 0.06), "dimple.inner_edge_radius": (0, 0.1), "dimple.overclose": (-0.3, 0.6),
    "dimple.radial_error": (-0.4, 0.4),
    "tang.coating": (0, 0.03), "dimple.burr": (0, 0.03),
    "tang.pivot_to_ball": (4, 14), "tang.face_gap": (0.05, 1.0), "opener.radius": (8, 28),
}  # fmt: skip
PLAIN = {"friction.ball_on_tang": (0, 0.45), "friction.ball_on_tang_static": (0, 0.6)}
OTHERS = {
    "bar.lateral_stiffness": lambda rng: rng.choice(["rigid", f"{10 ** rng.uniform(1, 4):.4g} N/mm"]),
    "dimple.point_angle": lambda rng: f"{rng.uniform(85, 150):.4g} deg",
    "pivot.friction_torque": lambda rng: f"{rng.uniform(0, 30):.3g} N*mm",
    "pivot.pin_diameter": lambda rng: f"{rng.uniform(2, 8):.3g} mm",
    "opener.push_angle": lambda rng: f"{rng.uniform(-60, 80):.4g} deg",
    "contact.rim": lambda rng: rng.choice(["rigid", "elastic"]),
    "grip.force": lambda rng: f"{rng.uniform(0, 15):.3g} N",
    "blade.open_angle": lambda rng: f"{rng.uniform(90, 190):.4g} deg",
}


def random_changes(rng: random.Random) -> tuple[dict[str, object], dict[str, object]]:
    """Up to nine changes of a build, typed in millimetres and typed in inches; both mean the same knife."""
    metric: dict[str, object] = {}
    inch: dict[str, object] = {}
    names = [*LENGTHS, *PLAIN, *OTHERS, "dimple.pilot_drill", "dimple.rim_drill"]
    for name in rng.sample(names, rng.randint(1, 9)):
        if name in LENGTHS:
            size = round(rng.uniform(*LENGTHS[name]), 4)
            metric[name], inch[name] = _typed(size, False), _typed(size, True)
        elif name in PLAIN:
            metric[name] = inch[name] = round(rng.uniform(*PLAIN[name]), 4)
        elif name in OTHERS:
            metric[name] = inch[name] = OTHERS[name](rng)
        else:
            size, same = rng.choice([*DRILLS, ("none", "none")] if "rim" in name else DRILLS)
            inch[name], metric[name] = size, same
    return metric, inch


HARD = {
    "bar.lateral_stiffness": lambda rng: f"{10 ** rng.uniform(-0.5, 2.5):.4g} N/mm",
    "opener.push_angle": lambda rng: f"{rng.uniform(-88, 93):.4g} deg",
    "friction.ball_on_tang_static": lambda rng: round(rng.uniform(0.12, 0.6), 4),
}


def hard_changes(rng: random.Random) -> tuple[dict[str, object], dict[str, object]]:
    """As `random_changes`, with a bar soft sideways, a push that may lack its lever and a ball that sticks."""
    metric, inch = random_changes(rng)
    hard = {name: draw(rng) for name, draw in HARD.items()}
    return metric | hard, inch | hard
