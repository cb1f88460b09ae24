"""Radial errors smaller than an atom, as a search leaves them behind, are none."""

import numpy as np
import pytest
from helpers.five_knives import KNIVES

from detentsim.knife.model import Build
from detentsim.knife.record.record import record
from detentsim.mechanics.response import respond


@pytest.mark.parametrize("name", ["liner", "slim"])
def test_a_radial_error_under_an_atom_is_none(name):
    """Beside the steep wall of a plain hole the breakout would be a sixth of what it is."""
    build = Build.loads(KNIVES[name])
    force = [
        float(
            respond(record(build.change({"dimple.radial_error": f"{error} mm"})), ("breakout_force",)).results[
                "breakout_force"
            ]
        )
        for error in ("0", "1e-25", "-1e-16", "1e-12", "1e-9")
    ]
    np.testing.assert_allclose(force, force[0], rtol=1e-5)
