"""How does the feel change with use? The dimple's edges as they wear in.

Comes in: a `Build`.
Leaves: `WornIn`.
Must not know: bar limits and motion.
Read first: ``worn_in``, then ``edges``.
"""
