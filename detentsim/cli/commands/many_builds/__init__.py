"""Commands that solve many builds: sweep, batch, design.

Comes in: the parser of commands; the parsed arguments.
Leaves: what the command prints and writes; its exit status.
Must not know: other commands.
Read first: ``sweep``.
"""
