"""What to make of the knife in the hand: how it compares, and what to change.

Comes in: a ``Build``, curves measured or computed, symptoms.
Leaves: ``Comparison`` and ``Advice``.
Must not know: files of reports, figures.
Read first: ``advise/advise``.
"""
