"""What was measured on a knife: feel curves from gauge files, and single readings with shop tools.

Comes in: a CSV of force against blade angle; a readings file or mapping.
Leaves: `Measured`: runs in SI. `Readings`: numbers with standard errors, and what was seen.
Must not know: the results computed from a run, or what a build gives.
Read first: ``measured``, then ``table`` on ``heading`` and ``rows``; ``readings`` on ``tools``.
"""
