"""What if? Any inputs varied, every combination solved.

Comes in: a `Build` and values by dotted name.
Leaves: `Sweep`, with flags, misfits and feel curves.
Must not know: what is wanted.
Read first: ``sweep``, then ``designs``.
"""
