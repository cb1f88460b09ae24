"""Commands that ask of many builds: how the feel changes, which sizes meet the targets, how many of a batch are right.

Comes in: the parser of commands; the parsed arguments.
Leaves: what the command prints and writes; its exit status.
Must not know: other commands.
Read first: ``sweep``.
"""
