"""Lines over one varied input, and families of feel curves.

Comes in: a `Sweep` of one input.
Leaves: axes.
Must not know: computing.
Read first: ``lines``, then ``families``.
"""
