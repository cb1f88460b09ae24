"""Symptoms of a knife, read from its computed results.

Comes in: a `Build`.
Leaves: a `Symptom` each.
Must not know: which move helps; that is ``advise``.
Read first: ``symptoms``, then ``case``.
"""
