"""States of the surfaces, with sources: friction of ball on tang by state, edge radius by finish."""

from __future__ import annotations

import functools
from dataclasses import dataclass

from detentsim.shop.tables import read_rows


@dataclass(frozen=True)
class FrictionState:
    """Friction of a hard ball on a hardened steel tang in one state of the surfaces.

    Parameters
    ----------
    name : str
        As in build files: ``oiled``, ``greased``, ``dry film``, ``dry as handled``, ``degreased``.
    sliding, at_rest : float
        Coefficients [-].
    band, rest_band : tuple of float
        Low and high of each.
    source : str
        Where the values come from.
    """

    name: str
    sliding: float
    band: tuple[float, float]
    at_rest: float
    rest_band: tuple[float, float]
    source: str


@functools.cache
def friction_states() -> dict[str, FrictionState]:
    """Return the states that a build file may name for the friction of ball on tang.

    Returns
    -------
    dict of str to FrictionState
        By name, the usual one first.

    Examples
    --------
    >>> friction_states()["dry as handled"].band
    (0.1, 0.4)
    """
    return {row["state"]: _state(row) for row in read_rows("friction_states.csv")}


def _state(row: dict[str, str]) -> FrictionState:
    """Return one state from its row."""
    sliding, low, high, at_rest, rest_low, rest_high = (float(row[name]) for name in _STATE_NUMBERS)
    return FrictionState(row["state"], sliding, (low, high), at_rest, (rest_low, rest_high), row["source"])


_STATE_NUMBERS = ("sliding", "low", "high", "at_rest", "rest_low", "rest_high")


@dataclass(frozen=True)
class EdgeState:
    """Edge radius of the dimple after one finish.

    Parameters
    ----------
    name : str
        As in build files: ``as drilled``, ``polished``, ``tumbled``, ``worn in``.
    radius : float
        [m]
    band : tuple of float
        Low and high [m].
    source : str
        Where the values come from.
    """

    name: str
    radius: float
    band: tuple[float, float]
    source: str


@functools.cache
def edge_states() -> dict[str, EdgeState]:
    """Return the finishes that a build file may name for the dimple's edge.

    Returns
    -------
    dict of str to EdgeState
        By name, the sharpest first.

    Examples
    --------
    >>> edge_states()["tumbled"].band
    (3e-05, 8e-05)
    """
    rows = read_rows("drills/edges.csv")
    return {row["state"]: EdgeState(row["state"], *_edge(row), row["source"]) for row in rows}


def _edge(row: dict[str, str]) -> tuple[float, tuple[float, float]]:
    """Return radius and band of one finish [m]."""
    radius, low, high = (round(float(row[f"{name}_mm"]) * 1e-3, 9) for name in ("radius", "low", "high"))
    return radius, (low, high)
