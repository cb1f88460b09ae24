"""How the ball beds in an elastic rim along its path.

Comes in: contacts on a rigid rim at ball angles of segments, friction, numbers of the segments; SI.
Leaves: contacts on the rim as it gives, and their slopes; SI.
Must not know: pint, files, drawing; how the path is cut and searched.
Read first: ``pressing``, then ``leaning``, ``wedging`` for a ball that climbs late, ``sharing`` for two edges at once.

The order in which one contact is worked out: ``sharing.mixed`` (the mean normal of two edges), ``pressing.spread``
(how far the load spreads round the rim, and how deep the ball sinks), ``wedging.spread`` (the same near wedging),
``leaning.pressed`` (the contact that comes of it). Each has a partner for the slopes over the ball angle:
``mixed_rise``, ``widens`` (twice), ``slopes``.

Names that stand for one thing in all files: ``at`` has the segments' numbers (`Columns`); ``touch`` is a `Contact`,
``rise`` its slopes; ``rigid`` is both, on a rigid rim, and ``was`` the first of them; ``wide`` is a `Spread`, whose
``t`` is the load over ``K a B`` to the power 2/3, with ``K`` the rim's stiffness per length, ``a`` the ring's radius
and ``B = s a/R``. Statements in place (``x *= y``) spare arrays; the formula that they add up to stands above them.
"""
