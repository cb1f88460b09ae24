"""Measured feel curves from gauge files.

Comes in: a CSV of force against blade angle.
Leaves: `Measured`: runs in SI.
Must not know: the results computed from a run.
Read first: ``measured``, then ``table`` on ``heading`` and ``rows``.
"""
