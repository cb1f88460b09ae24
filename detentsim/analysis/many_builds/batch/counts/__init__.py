"""Statistics of a batch: shares with their intervals, what misses a band, the count of right knives in a batch of n.

Comes in: truths and values of many knives.
Leaves: shares, capability, the law of a count.
Must not know: how knives are drawn and solved.
Read first: ``shares``.
"""
