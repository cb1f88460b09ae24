"""Commands that ask of many builds: how the feel changes with an input, which sizes meet the targets.

Comes in: the parser of commands; the parsed arguments.
Leaves: what the command prints and writes; its exit status.
Must not know: other commands.
Read first: ``sweep``.
"""
