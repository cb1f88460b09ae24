"""Checks of a build, and the bands and tolerances of its inputs.

Comes in: the values of a build.
Leaves: problems, bands and tolerances.
Must not know: results.
Read first: ``consistency`` (runs the rules), then ``bands``.
"""
