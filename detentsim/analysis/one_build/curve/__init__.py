"""What will it feel like? The feel curve of one build and the numbers that explain it.

Comes in: a `Build`.
Leaves: `Curve`, with likely ranges, bench steps and a picture of ball and dimple.
Must not know: other questions.
Read first: ``curve``, then ``rows`` (its columns) and ``likely`` (how ranges are added up).
"""
