"""The shop tables: drills, balls, stock, materials, hardness, friction, each row with its source.

Comes in: a name or size as typed.
Leaves: frozen rows in SI.
Must not know: builds and mechanics.
Read first: ``drills``, then ``tables`` for how a data file is read.
"""
