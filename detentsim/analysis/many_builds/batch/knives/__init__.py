"""Knives made to one drawing: which inputs vary, the knives drawn, their results, and statistics of them.

Comes in: a `Build`, what varies, points at which to draw.
Leaves: `Knives`: inputs, results, flags, shares, ranges.
Must not know: questions that need further knives.
Read first: ``cloud``.
"""
