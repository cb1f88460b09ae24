"""A batch as report, JSON, CSV and figure: how many knives are inside, what the rest miss, where to aim, what to hold.

Comes in: `Findings` of a batch.
Leaves: text, documents, tables, figures.
Must not know: how knives are drawn or solved.
Read first: ``report``.
"""
