"""Units: text or quantity to SI floats, and back.

Comes in: a typed value such as ``"1 1/2 in"``, or a pint quantity.
Leaves: SI floats; quantities of results; the wording of error messages about a value.
Must not know: which inputs, knives or shop tables exist.
Read first: ``convert`` (`to_si`), then ``kinds`` for the units each input allows.
"""
