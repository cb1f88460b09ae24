"""Commands that ask of one build: its feel, its limits, its blade in motion.

Comes in: the parser of commands; the parsed arguments.
Leaves: what the command prints and writes; its exit status.
Must not know: other commands.
Read first: ``curve``.
"""
