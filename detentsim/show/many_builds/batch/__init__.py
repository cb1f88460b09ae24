"""A batch as report, JSON, CSV and figure: the share inside, what the rest miss, where to aim, what to hold.

Comes in: `Findings` of a batch.
Leaves: text, documents, tables, figures.
Must not know: how knives are drawn from their distributions or solved.
Read first: ``report``.
"""
