"""How close is each part to its limit? The bar, the tang, the ball in its hole and the clip.

Comes in: a `Build`, and optionally a push.
Leaves: `Limits`.
Must not know: motion and advice.
Read first: ``limits``, then ``margins`` (each limit and its sentence).
"""
