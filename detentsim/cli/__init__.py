"""The command line: parse, call, print.

Comes in: the words after ``detentsim``.
Leaves: text, JSON, tables and figures; an exit status.
Must not know: how anything is computed or worded. Loads nothing heavy for ``--help``.
Read first: ``entry``, then one of ``commands``; a new command is a file there and its name in `COMMANDS`.
"""
