"""What a fit answers beyond its ranges: conflicts with the drawing, what to read next, the build as fitted.

Comes in: knives with weights, and the readings.
Leaves: conflicts with the sizes to check, expected narrowing of each further reading, a build.
Must not know: how the knives were found.
Read first: ``conflicts``.
"""
