"""The questions that a maker asks, a room for each, all answered from the same kernel.

Comes in: a `Build`.
Leaves: frozen results in their own units.
Must not know: drawing, and the wording of reports.
Read first: ``one_build/curve`` for one knife, ``many_builds/sweep`` for many.
"""
