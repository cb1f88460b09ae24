"""Does it fly open, fall shut, stay shut? The blade in motion.

Comes in: a `Build` with a blade.
Leaves: `Motion`.
Must not know: limits of parts.
Read first: ``motion``, then ``opening``, ``falling`` and ``staying``.
"""
