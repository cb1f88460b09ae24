"""Materials, hardness and friction: finding a row by what a maker writes, ranges and sources."""

import pickle

import pytest

from detentsim.knife.table.schema import INPUTS
from detentsim.shop import sizes
from detentsim.shop.friction import edge_states, friction_states
from detentsim.shop.hardness import hardness_to_hv, hrc_table, hrc_to_hv, yield_from_hardness
from detentsim.shop.materials import find_material, materials
from detentsim.units.errors import InputError

BAR = ["Ti-6Al-4V", "CP titanium grade 2", "beta titanium", "301 full hard", "UNS S17400 H900", "410", "420"]
BALL = ["silicon nitride", "zirconia", "alumina", "ruby", "tungsten carbide", "52100", "440C"]
TANG = ["hardened steel", "440C", "D2"]


@pytest.mark.parametrize(("role", "names"), [("bar", BAR), ("ball", BALL), ("tang", TANG)])
def test_the_materials_that_must_exist(role, names):
    for name in names:
        found = find_material(name, role, "f")
        assert found.name == name
        assert find_material(name.upper().replace(" ", "-"), role, "f") is found


def test_every_alias_names_one_material():
    for material in materials():
        for role in material.roles:
            for alias in material.aliases:
                assert find_material(alias, role, "f") is material


@pytest.mark.parametrize(
    ("value", "role", "word"),
    [
        ("Ti-6Al-4", "bar", "did you mean Ti-6Al-4V"),
        ("silicon nitrite", "ball", "did you mean silicon nitride"),
        ("D2", "bar", "known, but not as a bar"),
        ("ceramic", "ball", "choose from silicon nitride, zirconia"),
        ("titanium", "bar", "choose from Ti-6Al-4V"),
        ("", "bar", "choose from"),
        (7, "bar", "choose from"),
        (None, "tang", "choose from hardened steel|choose from 440C"),
        ("x" * 100_000, "tang", "choose from"),
    ],
    ids=range(9),
)
def test_an_unknown_material_names_the_nearest(value, role, word):
    with pytest.raises(InputError, match=word) as caught:
        find_material(value, role, f"{role}.material")
    assert str(caught.value).startswith(f"{role}.material: ")
    assert len(str(caught.value)) < 300


def test_each_material_is_whole_and_sourced():
    for material in materials():
        assert 1e9 < material.youngs_modulus < 1e12
        assert 0.0 < material.poissons_ratio < 0.5
        assert 1e3 < material.density < 2e4
        for name, (low, high) in material.bands.items():
            assert low <= getattr(material, name) <= high, (material.name, name)
        given = [name for name in material.__dataclass_fields__ if getattr(material, name) not in (None, ())]
        given = [
            name for name in given if name not in ("endurance_ratio", "mean_stress_share") or name in material.sources
        ]
        numbers = set(given) - {"name", "aliases", "roles", "condition", "bands", "sources", "kinds"}
        assert numbers == set(material.sources)
        assert all(material.sources.values())
        if "bar" in material.roles:
            assert material.endurance_strength is not None
            assert material.yield_strength is not None
            assert material.ultimate_strength is not None
            assert material.endurance_strength < material.yield_strength
        if material.yield_strength and material.ultimate_strength:
            assert material.yield_strength < material.ultimate_strength


def test_materials_survive_a_pickle_and_a_hash():
    assert pickle.loads(pickle.dumps(materials())) == materials()
    assert len(set(materials())) == len(materials())


def test_hardened_steel_takes_its_yield_from_hardness():
    steel = find_material("hardened steel", "tang", "f")
    assert steel.hardness_hv == 697
    assert steel.yield_strength == pytest.approx(yield_from_hardness(697), rel=1e-15)
    assert "rule of thumb" in steel.sources["yield_strength"]


def test_a_bend_radius_that_no_table_gives_is_none():
    assert find_material("Ti-6Al-4V", "bar", "f").bend_radius(6.0e-3) is None
    assert find_material("410", "bar", "f").bend_radius(1.0e-3) is None


@pytest.mark.parametrize(("text", "expected"), [("60 HRC", 697.0), ("60.5HRC", 708.5), ("700 HV", 700.0)])
def test_hardness_text(text, expected):
    assert hardness_to_hv(text, "f") == pytest.approx(expected, rel=1e-15)


@pytest.mark.parametrize(
    "value",
    ["60", 60, "39 HRC", "69 HRC", "50 HV", "1e9 HV", "60 HRB", "60 mm", "nan HRC", "", None, "9" * 100_000],
)
def test_hardness_that_will_not_do(value):
    with pytest.raises(InputError, match=r'^tang\.hardness: .* give a hardness such as "60 HRC"'):
        hardness_to_hv(value, "tang.hardness")


def test_hardness_conversion_rises_and_ends_with_its_table():
    table = hrc_table()
    values = [hrc_to_hv(40 + 0.1 * i) for i in range(281) if 40 + 0.1 * i <= 68]
    assert values == sorted(values)
    assert hrc_to_hv(table[-1][0]) == table[-1][1]
    with pytest.raises(ValueError, match="outside"):
        hrc_to_hv(68.1)


def test_every_value_says_how_it_is_known():
    marks = ("seen", "second hand", "computed", "from memory", "a rule of thumb")
    for material in materials():
        for name, source in material.sources.items():
            assert any(mark in source for mark in marks), f"{material.name} {name}: {source}"


def test_each_strength_is_minimum_typical_or_a_rule():
    for material in materials():
        strengths = {name for name in material.sources if name.endswith("_strength")}
        assert set(material.kinds) == strengths
        assert set(material.kinds.values()) <= {"minimum", "typical", "rule"}
    row = next(row for row in sizes.table("materials").as_dicts() if row["name"] == "UNS S17400 H900")
    assert row["strengths_are"] == "minimum: yield, ultimate; rule: endurance"


def test_a_bar_of_a_metal_with_a_specified_minimum_is_computed_with_it():
    """The minimum is the low end of the published spread, typical stock its high end."""
    minima = [(one, name) for one in materials() for name, kind in one.kinds.items() if kind == "minimum"]
    spread = [(one, name) for one, name in minima if name in one.bands]
    assert len(spread) > 3
    for material, name in spread:
        assert material.bands[name][0] == getattr(material, name)


@pytest.mark.parametrize("name", ["17-4PH H900", "17-4 PH", "17-4", "S17400 H900", "UNS S17400", "AISI 630 H900"])
def test_old_names_of_s17400_are_understood(name):
    assert find_material(name, "bar", "bar.material").name == "UNS S17400 H900"


def test_states_of_friction_are_whole_and_sourced():
    states = friction_states()
    assert list(states)[:5] == ["oiled", "greased", "dry film", "dry as handled", "degreased"]
    assert list(states)[5:] == ["degreased alumina", "degreased zirconia", "carbon film", "nitride film"]
    for state in states.values():
        assert state.band[0] <= state.sliding <= state.band[1]
        assert state.rest_band[0] <= state.at_rest <= state.rest_band[1]
        assert state.sliding < state.at_rest
        assert any(mark in state.source for mark in ("seen", "second hand", "from memory"))
    assert states["dry as handled"].sliding > 0.18  # which is no dry value
    rows = sizes.table("friction").as_dicts()
    assert [(row["state"], row["sliding"]) for row in rows] == [(s.name, s.sliding) for s in states.values()]


# Friction of pairs that a hard ball on a hardened tang may be, and the states that speak of them.
PAIRS = [
    (0.08, 0.15, ("oiled",)),  # ceramic on hardened steel, lubricated: ASM Handbook vol. 18, from memory
    (0.10, 0.10, ("oiled",)),  # hard steel under a light oil film: Kirk-Othmer Encyclopedia, second hand
    (0.1, 0.2, ("oiled", "greased")),  # tungsten carbide on steel, greasy: classic handbook table, from memory
    (0.04, 0.04, ("dry film",)),  # PTFE: Handbook of Surface Improvement and Modification, Table 11.1, seen
    (0.3, 0.6, ("dry as handled", "degreased")),  # alumina on alumina: Bhushan (1999), as cited in a lecture
]


@pytest.mark.parametrize(("low", "high", "states"), PAIRS)
def test_bands_of_the_states_hold_what_is_published_of_the_pairs(low, high, states):
    bands = [friction_states()[state].band for state in states]
    assert min(band[0] for band in bands) <= low
    assert high <= max(band[1] for band in bands)


def test_bands_of_the_states_hold_what_their_sources_print():
    """Figures out of the sources named in each row: greased steel, PTFE and MoS2, shop figure, clean steel."""
    printed = {"greased": (0.04, 0.25), "dry film": (0.04, 0.18), "dry as handled": (0.10, 0.30)}
    printed |= {"degreased": (0.56, 0.58), "degreased alumina": (0.62, 0.90)}
    for name, (low, high) in printed.items():
        band = friction_states()[name].band
        assert band[0] <= low < high <= band[1], name


def test_finishes_of_an_edge_are_whole_and_the_packaged_band_spans_fresh_and_worn_in():
    states = edge_states()
    assert list(states) == ["as drilled", "polished", "tumbled", "worn in"]
    for state in states.values():
        assert state.band[0] <= state.radius <= state.band[1]
        assert any(mark in state.source for mark in ("from memory", "no source"))
    fresh, worn, packaged = states["as drilled"], states["worn in"], INPUTS["dimple.edge_radius"].band.assumed
    assert packaged == ("0 mm", "0.05 mm")
    assert fresh.band[0] == 0
    assert fresh.radius < worn.radius < 0.05e-3
    assert states["polished"].radius < states["tumbled"].radius
