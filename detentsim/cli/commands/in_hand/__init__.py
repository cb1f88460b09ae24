"""Commands for the knife in the hand: its readings against the model, and what to change.

Comes in: the parser of commands; the parsed arguments.
Leaves: what the command prints and writes; its exit status.
Must not know: other commands.
Read first: ``compare``.
"""
