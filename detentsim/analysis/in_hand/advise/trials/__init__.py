"""Trials of moves: changed designs solved on the kernel, and the searches for the best amounts.

Comes in: plain numbers of a build, aims, moves.
Leaves: a `Trial` of each move or pair.
Must not know: how trials are ranked or worded.
Read first: ``trials``, then ``single``, ``pairs``.
"""
