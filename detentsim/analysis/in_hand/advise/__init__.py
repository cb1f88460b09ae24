"""What should I change? Every bench move tried against what is wanted, and ranked.

Comes in: a `Build` with a target, a wish or a symptom; or a batch or fit of it.
Leaves: `Advice`: proposals ranked.
Must not know: stock sizes of a new design; those are for ``design``.
Read first: ``advise``, then ``moves`` and ``trials``; ``chances`` for batches and fits.
"""
