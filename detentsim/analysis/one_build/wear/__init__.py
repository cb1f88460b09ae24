"""How does the feel change with use? The dimple's edges as they wear in.

Comes in: a `Build`; or the record of many designs.
Leaves: `WornIn`; or the worn radii of the edges of many designs.
Must not know: limits of the bar, and motion.
Read first: ``worn_in``, then ``edges``; ``allowance`` for what to do about it, ``worn_records`` for many designs.
"""
