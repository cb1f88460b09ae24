"""Random wrong inputs give a value, or a refusal in one clear line; random builds keep what must hold.

``python tests/benchmarks/random_inputs.py`` runs many more of them.
"""

import pytest
from helpers.findings import build_findings, file_findings, text_findings
from helpers.mutations import hard_changes, random_changes


def test_texts_are_read_or_refused_in_one_line():
    assert text_findings(4000, seed=1) == []


def test_build_files_are_read_or_refused_in_clear_lines():
    assert file_findings(150, seed=2, curves=5) == []


@pytest.mark.slow
def test_a_few_builds_keep_what_must_hold_in_both_units():
    assert build_findings(6, seed=3) == []
    assert build_findings(6, seed=4, draw=hard_changes) == []


@pytest.mark.slow
@pytest.mark.parametrize("draw", [random_changes, hard_changes])
def test_builds_keep_what_must_hold_in_both_units(draw):
    """Peak of the curve = breakout force or a warning; work not below 0; contact angle above 0 or a warning."""
    assert build_findings(40, seed=5, draw=draw) == []
