"""What was measured on a knife: feel curves from a force gauge, and single readings with shop tools.

Comes in: a CSV table of force against blade angle; a readings file or mapping.
Leaves: `Measured` (runs in SI) and `Readings` (numbers with standard errors, and what was seen).
Must not know: the results computed from a run, or those of a build.
Read first: ``measured``, then ``table``, ``heading`` and ``rows``; for readings ``readings``, then ``tools``.
"""
