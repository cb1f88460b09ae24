"""What must fit together in a build, and how far each input may lie from its value.

Comes in: values of a build.
Leaves: problems, bands and tolerances.
Must not know: results.
Read first: ``consistency`` (runs the rules), then ``bands``.
"""
