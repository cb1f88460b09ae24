"""One file for each command, with `add` (its options) and `run` (its work).

Comes in: the parser of commands; the parsed arguments.
Leaves: what the command prints and writes; its exit status.
Must not know: other commands.
Read first: ``one_build/curve``. ``explore``, ``sizes`` and ``new`` belong to no group.
"""
