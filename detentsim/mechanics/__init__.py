"""The formulas: SI floats and arrays in, SI floats and arrays out.

Comes in: a `Record` of broadcasting arrays.
Leaves: a `Response`: every result of one design or many.
Must not know: units, files, drawing; it imports numpy and scipy alone.
Read first: ``response`` (`respond`), then the room of the part in question.
"""
