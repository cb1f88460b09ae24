"""Ball and dimple as geometry, and their elastic and press-fit contact.

Comes in: dimple and ball fields of the record.
Leaves: height and contact angle of the ball; pressures.
Must not know: the bar and the blade.
Read first: ``dimple``, then ``envelope``.
"""
