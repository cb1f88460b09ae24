"""Chances of a move under doubt: what it brings about on the knives that the one on the bench may be.

Comes in: weighted knives or a drawing, moves with amounts, aims.
Leaves: chances to land, to overshoot and to bring a warning; steps for what is set or cut bit by bit.
Must not know: how the knives were weighed, and which moves there are.
Read first: ``sample``, then ``chances``, then ``steps``.
"""
