"""Knives made to one drawing: which inputs vary, the knives drawn, their results, and what can be read from them.

Comes in: a `Build`, what varies, points at which to draw.
Leaves: `Knives`: inputs, results, flags, shares, ranges.
Must not know: what is asked beyond these knives.
Read first: ``cloud``.
"""
