"""Build files: read with line numbers, edited in place, replaced whole or not at all.

Comes in: a path or a text.
Leaves: a `Document` and its contents; problems with file and line.
Must not know: what the numbers mean.
Read first: ``reading``, then ``changing`` (changes made in Python) and ``document`` (edits of the text).
"""
