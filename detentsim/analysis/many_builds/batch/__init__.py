"""How many of a batch are right? Thousands of knives made to one drawing, each uncertain input drawn at random.

Comes in: a `Build` with its tolerances and targets.
Leaves: `Batch`: the share inside, why the rest are outside, ranges, what to hold, where to aim.
Must not know: readings of the knife on the bench.
Read first: ``batch``, then ``knives/cloud``.
"""
