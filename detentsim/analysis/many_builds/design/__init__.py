"""What should I buy and cut? Stock sizes with which most knives meet a target.

Comes in: a `Build` with a target.
Leaves: `Designs`: proposals ranked.
Must not know: changes to a finished knife; those are for ``advise``.
Read first: ``design``, then ``search``.
"""
