"""Commands for the knife on the bench: compare, fit, readings, advise, sheet, report.

Comes in: the parser of commands; the parsed arguments.
Leaves: what the command prints and writes; its exit status.
Must not know: other commands.
Read first: ``compare``.
"""
