"""Build files: read with line numbers, edited in place, written whole or not at all.

Comes in: a path or a text.
Leaves: a `Document` and its contents; problems with file and line.
Must not know: what the numbers mean.
Read first: ``reading``, then ``changing`` for changes in code and ``document`` for edits of the text.
"""
