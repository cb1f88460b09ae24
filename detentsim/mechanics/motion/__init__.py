"""The blade in motion: pivot, inertia, thrown open, falling shut.

Comes in: a solved design and its path.
Leaves: energies, speeds, angles of stall and rest.
Must not know: attitudes and fingers as tables; those are asked in ``analysis.motion``.
Read first: ``in_motion``, then ``panels`` and ``swing``.
"""
