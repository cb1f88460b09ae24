"""The blade in motion: pivot friction, inertia, thrown open, falling shut.

Comes in: a solved design and the stable branches of its path.
Leaves: energies, speeds, angles of stall and rest.
Must not know: tables of attitudes and fingers; ``analysis.one_build.motion`` makes those.
Read first: ``in_motion``, then ``panels`` and ``swing``.
"""
