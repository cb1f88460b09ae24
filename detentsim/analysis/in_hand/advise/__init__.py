"""What should I change? Every move of the bench held against what is wanted.

Comes in: a `Build` with a target, a wish or a symptom.
Leaves: `Advice`: proposals ranked.
Must not know: stock sizes of a new design; that is ``design``.
Read first: ``advise``, then ``moves`` and ``trials``.
"""
