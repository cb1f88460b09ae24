"""The knife as its maker describes it: inputs, build files, checks, targets, and the plain SI record.

Comes in: a build file, or changes by dotted name.
Leaves: a `Build`; its record for the mechanics; targets and verdicts.
Must not know: how a result is computed or drawn.
Read first: ``model`` (`Build`), then ``table/inputs.csv`` (every input) and ``record``.
"""
