"""What happens when I turn this? A build under its knobs.

Comes in: a `Build`.
Leaves: a `Session` whose looks hold results and curve.
Must not know: windows and notebooks.
Read first: ``session``, then ``knobs``.
"""
