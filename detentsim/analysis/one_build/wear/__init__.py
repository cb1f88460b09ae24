"""How does the feel change with use? The dimple's edges as they wear in.

Comes in: a `Build`; or the record of many designs.
Leaves: `WornIn`; or the radii of the designs' edges worn in.
Must not know: bar limits and motion.
Read first: ``worn_in``, then ``edges``; ``worn_records`` for many designs.
"""
