"""What maps and tables take from a solved sweep.

Comes in: `Sweep`.
Leaves: places between designs where a flag turns; tables of its inputs, results and flags.
Must not know: how a sweep is asked for; drawing.
Read first: ``borders``.
"""
