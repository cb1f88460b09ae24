"""Every change a bench can make: its input, how far it may go, whether it can be undone.

Comes in: plain numbers of a build.
Leaves: a list of `Move`.
Must not know: what is wanted.
Read first: ``moves``, then ``move``.
"""
