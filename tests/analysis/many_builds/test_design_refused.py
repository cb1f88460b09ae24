"""Design out of reach, stopped, run elsewhere, and questions that cannot be answered."""

from concurrent.futures import ThreadPoolExecutor

import pytest
from helpers.garden import garden

import detentsim as ds
from detentsim.shop.stock import cutters, slabs
from detentsim.units.convert import to_si

GARDEN = garden()
ONE_BAR = ("ball.diameter", "bar.thickness", "bar.relief_length")


@pytest.mark.slow
@pytest.mark.parametrize("calls", [1, 5])
def test_ctrl_c_keeps_what_is_done(calls):
    seen = []

    def stop(done, total):
        seen.append((done, total))
        if len(seen) == calls:
            raise KeyboardInterrupt

    found = ds.design(GARDEN, ("bar.thickness",), progress=stop)
    assert found.stopped
    assert len(found) or "Stopped" in found.words
    assert all(9 <= p.results["breakout_force"] <= 13 for p in found.proposals)
    assert calls == 1 or len(found)


@pytest.mark.slow
def test_progress_goes_up_to_the_whole():
    seen = []
    ds.design(GARDEN, (*ONE_BAR, "dimple.rim_feed"), progress=lambda done, total: seen.append((done, total)))
    assert seen == sorted(seen)
    assert seen[-1][0] == seen[-1][1]


@pytest.mark.slow
def test_an_executor_finds_the_same():
    fixed = (*ONE_BAR, "dimple.pilot_drill")
    alone = ds.design(GARDEN, fixed)
    with ThreadPoolExecutor(2) as pool:
        spread = ds.design(GARDEN, fixed, executor=pool)
    assert [p.sizes for p in alone.proposals] == [p.sizes for p in spread.proposals]
    assert [p.inside for p in alone.proposals] == [p.inside for p in spread.proposals]


@pytest.mark.slow
def test_an_absolute_tolerance_holds_an_input_fixed():
    text = GARDEN.text + '\n[tolerance]\n"bar.bend" = { at_least = "1.5 mm", at_most = "1.7 mm" }\n'
    found = ds.design(ds.Build.loads(text), ("bar.thickness", "bar.relief_length", "dimple.rim_drill"))
    assert "bar.bend" in found.fixed
    assert all(p.metres["bar.bend"] == pytest.approx(1.6e-3) for p in found.proposals)


def test_what_cannot_be_asked_gets_one_sentence():
    with pytest.raises(ds.InputError, match=r"^target: is missing; write \[target\]"):
        ds.design(ds.Build.loads(GARDEN.text.split("[target]")[0]))
    with pytest.raises(ds.InputError, match=r"bar\.bnd.*bar\.bend"):
        ds.design(GARDEN, ("bar.bnd",))


@pytest.mark.parametrize("table", [slabs, cutters])
def test_stock_has_names_that_read_as_its_sizes_and_a_source(table):
    sizes = [stock.diameter for stock in table()]
    assert sizes == sorted(set(sizes))
    for stock in table():
        assert to_si(stock.name, "length", "stock", "3 mm") == pytest.approx(stock.diameter, rel=1e-12)
        assert stock.source
