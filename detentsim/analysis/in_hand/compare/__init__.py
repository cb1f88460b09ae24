"""How do knives differ? Builds and measured curves side by side.

Comes in: builds and measured curves.
Leaves: `Comparison`: differences, and distances in hand-steps.
Must not know: what to do about it.
Read first: ``compare``, then ``feel_curves``.
"""
