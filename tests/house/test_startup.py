"""What is loaded when: told by sys.modules, not by a clock."""

import json
import subprocess
import sys

import pytest


def loaded_after(code: str) -> set[str]:
    script = f"{code}\nimport sys, json\nsys.stderr.write(json.dumps(sorted(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    return {name.split(".")[0] for name in json.loads(done.stderr)}


def test_importing_the_package_loads_nothing_heavy():
    assert not loaded_after("import detentsim") & {"numpy", "scipy", "pint", "matplotlib"}


def test_help_loads_not_even_numpy():
    code = "from detentsim.cli.entry import main\nassert main(['--help']) == 0\nassert main(['curve', '--help']) == 0"
    assert not loaded_after(code) & {"numpy", "scipy", "pint", "matplotlib"}


@pytest.mark.slow
@pytest.mark.parametrize(("words", "heavy"), [("'curve'", {"scipy"}), ("'curve', '--json'", set())])
def test_a_curve_without_a_figure_loads_no_matplotlib_and_no_pint(words, heavy):
    """Its report loads no SciPy either; its document throws the blade open, for which SciPy integrates."""
    loaded = loaded_after(f"from detentsim.cli.entry import main\nassert main([{words}]) == 0")
    assert not loaded & {"matplotlib", "pint", *heavy}
    assert "numpy" in loaded


def test_looking_up_sizes_loads_no_scipy():
    assert not loaded_after("from detentsim.cli.entry import main\nmain(['sizes', 'drills'])") & {"scipy", "matplotlib"}


def test_names_of_the_package_are_there():
    import detentsim as ds

    for name in ds.__all__:
        assert getattr(ds, name) is not None
    assert set(ds.__all__) <= set(dir(ds))
