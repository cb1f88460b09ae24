"""How many of a batch are right? Thousands of knives made to one drawing, each uncertain input drawn.

Comes in: a `Build` with its tolerances and targets.
Leaves: `Batch`: the share inside the target, why the rest are outside, ranges, what to hold, where to aim.
Must not know: readings of a knife in the hand.
Read first: ``batch``, then ``knives.cloud``.
"""
