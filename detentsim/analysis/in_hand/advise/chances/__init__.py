"""Chances of a move on the possible knives: those made to a drawing, or those that agree with the readings.

Comes in: weighted knives or a drawing, moves with amounts, aims.
Leaves: chances to land, to overshoot and to raise a warning; plans in steps for what is set or cut bit by bit.
Must not know: how the knives were weighed, and which moves there are.
Read first: ``sample``, then ``chances`` and ``rules``.
"""
