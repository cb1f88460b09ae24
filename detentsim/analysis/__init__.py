"""The questions that a maker asks, each answered from the same kernel.

Comes in: a `Build`.
Leaves: frozen results in their own units.
Must not know: drawing and wording of reports.
Read first: ``curve`` for one knife, ``sweep`` for many.
"""
