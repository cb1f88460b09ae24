"""How many of a batch are right? Thousands of knives made to one drawing, each uncertain input drawn.

Comes in: a `Build` with its tolerances and targets.
Leaves: `Batch`, with the share inside the target, why the rest are outside, ranges and capability.
Must not know: how a build could be changed.
Read first: ``batch``, then ``knives``.
"""
