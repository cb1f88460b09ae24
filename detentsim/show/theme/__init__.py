"""What all figures and reports share: style, labels, saving, tables.

Comes in: axes, figures, rows of words.
Leaves: drawn labels, files, text.
Must not know: which question a figure or report answers.
Read first: ``style``, then ``labels``.
"""
