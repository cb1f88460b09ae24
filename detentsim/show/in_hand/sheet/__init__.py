"""The sheet for the bench: one page of drawings and steps, its text and its JSON document.

Comes in: a finished `Sheet`.
Leaves: a figure the size of the paper, text, documents.
Must not know: how anything is computed.
Read first: ``steps``, then ``page``.
"""
