"""Symptoms of a knife, read from its computed results or told by whoever holds it.

Comes in: a `Build`; a complaint in words.
Leaves: a `Symptom` for each.
Must not know: which move helps.
Read first: ``symptoms``, then ``case``.
"""
