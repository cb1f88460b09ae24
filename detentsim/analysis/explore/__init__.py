"""What happens when I turn this? A build with a knob for each input.

Comes in: a `Build`.
Leaves: a `Session`, which gives results and curve for each setting of the knobs (`Look`).
Must not know: windows and notebooks.
Read first: ``session``, then ``knobs``.
"""
