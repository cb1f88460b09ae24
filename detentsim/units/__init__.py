"""Units: text or quantity in, SI float out, and back.

Comes in: a typed value such as ``"1 1/2 in"``, or a pint quantity.
Leaves: SI floats; quantities of results; the wording of a refusal.
Must not know: anything of a shop or a knife.
Read first: ``convert`` (`to_si`), then ``kinds`` for the units each input allows.
"""
