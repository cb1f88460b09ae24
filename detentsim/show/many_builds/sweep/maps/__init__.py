"""Maps of two and three varied inputs.

Comes in: a `Sweep` of two or three inputs.
Leaves: axes.
Must not know: computing.
Read first: ``maps``, then ``planes`` (words on a map).
"""
