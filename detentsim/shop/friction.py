"""States of the surfaces with sources: friction by state and by pair of materials, edge radius by finish."""

from __future__ import annotations

import functools
from dataclasses import dataclass

from detentsim.shop.tables import read_rows


@dataclass(frozen=True)
class FrictionPair:
    """Friction coefficients of a pair as ranges; None where there is no published value.

    Parameters
    ----------
    pair : str
        The two materials, and static or sliding where the source distinguishes them.
    dry, lubricated : tuple of float, or None
        Low and high.
    source : str
        Where the ranges come from.
    """

    pair: str
    dry: tuple[float, float] | None
    lubricated: tuple[float, float] | None
    source: str


@functools.cache
def friction_pairs() -> tuple[FrictionPair, ...]:
    """Return friction coefficients by pair and lubrication.

    Returns
    -------
    tuple of FrictionPair
        Ranges, never single values: friction depends on the whole system.

    Examples
    --------
    >>> next(p.lubricated for p in friction_pairs() if p.pair == "ceramic on hardened steel")
    (0.08, 0.15)
    """
    return tuple(
        FrictionPair(row["pair"], _range(row, "dry"), _range(row, "lubricated"), row["source"])
        for row in read_rows("friction.csv")
    )


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


def _range(row: dict[str, str], state: str) -> tuple[float, float] | None:
    """Return low and high of one state, None where the cells are empty."""
    low, high = row[f"{state}_low"], row[f"{state}_high"]
    return (float(low), float(high)) if low else None


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
