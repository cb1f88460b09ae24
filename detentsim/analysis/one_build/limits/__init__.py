"""What does it bear? Bar, tang, ball in its hole and clip against their limits.

Comes in: a `Build`, and optionally a push.
Leaves: `Limits`.
Must not know: motion and advice.
Read first: ``limits``, then ``margins`` (each limit and its sentence).
"""
