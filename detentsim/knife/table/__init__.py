"""The table of inputs, and the values read with it.

Comes in: ``inputs.csv``; raw entries of a file or a call.
Leaves: `INPUTS`, and one `Value` for each entry.
Must not know: files, results.
Read first: ``inputs.csv``, then ``schema`` and ``values``.
"""
