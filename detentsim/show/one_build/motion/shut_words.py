"""What keeps the blade shut, in words, sentence by sentence."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.analysis.one_build.checks import held_fast, times_held

if TYPE_CHECKING:
    from collections.abc import Iterator

    from detentsim.analysis.one_build.motion.motion import Motion


def staying_words(m: Motion, full: bool = True, torque: bool = True) -> Iterator[str]:
    """What keeps the blade shut, sentence by sentence.

    Parameters
    ----------
    m : Motion
    full : bool
        Whether to add the fall of the knife and the pull of the ball.
    torque : bool
        Whether to give the torque that opens it in the worst direction.
    """
    yield from held_words(m)
    s, units = m.staying, m.build.units
    if torque and s.torque is not None and s.torque > 0:
        yield (
            f"In the worst direction, with its weight helping, {units.two_digits(s.torque, 'N*mm')} on the blade "
            "opens it."
        )
    elif torque and s.torque is not None:
        yield "In the worst direction its own weight opens it."
    if full and s.drop is not None:
        yield (
            f"A knife that falls {units.two_digits(s.drop, 'mm')} and stops dead, its blade square to the fall and "
            "free to swing, comes open; a softer landing needs a longer fall. This is an estimate on the safe side, "
            "from angular momentum and the work to let-go."
        )
    if full and s.pull is not None:
        way = "all the way from rest to let-go" if s.biased else "only part of the way from rest to let-go"
        yield f"The ball alone pulls the closed blade shut with up to {units.two_digits(max(s.pull, 0.0), 'N*mm')}."
        yield f"With friction left out it pulls {way}."


def held_words(m: Motion) -> Iterator[str]:
    """How many times its own weight the blade is held shut against, and by what.

    Parameters
    ----------
    m : Motion
    """
    s = m.staying
    if "misses_dimple" in m.flags:
        yield "The ball lies beside its dimple: friction alone holds the blade shut."
        return
    if s.carry_g is None:
        yield held_fast(m.flags) or (
            "Nothing holds the blade shut but its pivot's friction: the ball never reaches the tang."
            if "floats" in m.flags
            else f"Against its own weight: not known; {m.why('carry_g')}."
        )
        if s.carry_g_slick is not None:
            yield (
                f"With half the friction, as after oiling, the detent holds {times_held(s.carry_g_slick)} times the "
                "blade's weight in the worst direction."
            )
        return
    slick = (
        "" if s.carry_g_slick is None else f" ({times_held(s.carry_g_slick)} with half the friction, as after oiling)"
    )
    yield f"The detent holds {times_held(s.carry_g)} times the blade's weight in the worst direction{slick}."
