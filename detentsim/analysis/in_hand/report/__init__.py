"""The report on one build: the answers of every other room, gathered for one page.

Comes in: a build, and readings of one knife where there are some.
Leaves: `Report`, with the results of each question; the sources of the values used.
Must not know: how the page looks.
Read first: ``report``.
"""
