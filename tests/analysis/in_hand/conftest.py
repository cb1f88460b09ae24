"""Knives that are compared."""

import pytest
from helpers.garden import workshop
from helpers.gauged import LIGHT


@pytest.fixture(scope="session")
def demo():
    """The knife with something to say to every command."""
    return workshop()


@pytest.fixture(scope="session")
def light(demo):
    """The same with less bend."""
    return demo.change(LIGHT)
