"""Statistics of a batch: shares with intervals, capability, and how many of a few knives are right.

Comes in: truths and values of many knives.
Leaves: shares, capability, the distribution of a count.
Must not know: how knives are drawn and solved.
Read first: ``shares``.
"""
