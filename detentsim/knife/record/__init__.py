"""From a build to the plain SI record that the formulas take.

Comes in: a `Build`, with columns of values in place of some inputs.
Leaves: a `Record` of broadcasting arrays.
Must not know: results and drawing.
Read first: ``record`` (`assemble`, `swept`), then ``fields`` (which input feeds which field).
"""
