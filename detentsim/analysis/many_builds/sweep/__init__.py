"""What if? Every combination of values of some inputs, solved.

Comes in: a `Build`, and values by dotted name.
Leaves: `Sweep`: results, flags, combinations that cannot be made, feel curves.
Must not know: what is wanted.
Read first: ``sweep``, then ``designs``.
"""
