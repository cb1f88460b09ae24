"""Questions to a batch that need knives of their own: what matters, worst corners, what to hold, where to aim.

Comes in: a `Cloud`, the knives of the batch.
Leaves: the answers: Sobol' indices, counts, corners, tolerances, settings.
Must not know: who asks.
Read first: ``holding``.
"""
