"""Commands that solve one build: curve, limits, motion, layout.

Comes in: the parser of commands; the parsed arguments.
Leaves: what the command prints and writes; its exit status.
Must not know: other commands.
Read first: ``curve``.
"""
