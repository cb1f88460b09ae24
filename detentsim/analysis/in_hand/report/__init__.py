"""Everything that one page on a knife tells, gathered from the other rooms.

Comes in: a build, and readings of one knife where there are some.
Leaves: `Report`, with the results of each question; the sources of the values used.
Must not know: how the page looks.
Read first: ``report``.
"""
