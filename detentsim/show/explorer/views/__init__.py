"""The explorer's drawings: their artists are made once and then only moved.

Comes in: a `Look`, and a `Riding` of it.
Leaves: axes that follow both.
Must not know: knobs, windows, notebooks.
Read first: ``feel_view``, then ``dimple_view``.
"""
