"""Fit of a build to readings: the knives of its batch that agree with the one on the bench.

Comes in: a `Build` and `Readings`.
Leaves: `Fit`: knives with weights, their ranges, conflicts of readings with the drawing, what to read next.
Must not know: what to change, and how it is shown.
Read first: ``fit``, then ``likelihood`` and ``sampled/sampling``.
"""
