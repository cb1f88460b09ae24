"""Fit of a build to readings: the knives of its batch that read like the one on the bench.

Comes in: a `Build` and `Readings`.
Leaves: `Fit`: knives with weights, their ranges, conflicts of readings with the drawing, what to read next.
Must not know: what is done about it, and how it is shown.
Read first: ``fit``, then ``likelihood`` and ``sampling``.
"""
