"""The table of inputs, and the typed values that are read with it.

Comes in: ``inputs.csv``; entries as typed in a file or a call.
Leaves: `INPUTS`, and one `Value` for each entry.
Must not know: files, results.
Read first: ``inputs.csv``, then ``schema`` and ``values``.
"""
