"""The explorer's drawings, made once and then only moved, and what paints them.

Comes in: a `Look`, and a `Riding` of it.
Leaves: axes that follow both.
Must not know: knobs, windows, notebooks.
Read first: ``feel_view``, then ``dimple_view``.
"""
