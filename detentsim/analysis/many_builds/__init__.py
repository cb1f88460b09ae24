"""What many builds give: a sweep over chosen inputs, a search for a design that meets a target.

Comes in: a ``Build`` and the inputs that may change.
Leaves: ``Sweep`` and ``Designs``, arrays of results over the designs.
Must not know: the knife in the hand, figures.
Read first: ``sweep/sweep``.
"""
