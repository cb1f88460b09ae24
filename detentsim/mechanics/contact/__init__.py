"""Ball and dimple as geometry; elastic contact on the tang, and the ball's press fit in the bar.

Comes in: dimple and ball fields of the record.
Leaves: height and contact angle of the ball; pressures.
Must not know: the bar's bending and the blade.
Read first: ``dimple``, then ``envelope``.
"""
