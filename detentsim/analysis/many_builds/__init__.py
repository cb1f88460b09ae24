"""Many builds at once: a sweep over chosen inputs, a batch made to one drawing, a search for a design.

Comes in: a ``Build``, and the inputs that may change or vary.
Leaves: ``Sweep``, ``Batch`` and ``Designs``.
Must not know: the knife on the bench, figures.
Read first: ``sweep/sweep``.
"""
