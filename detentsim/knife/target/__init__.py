"""What is wanted: bands and relative changes of results, and verdicts on them.

Comes in: ``[target]`` entries; results by name.
Leaves: `Target` and `Verdict`.
Must not know: how results are computed.
Read first: ``target``, then ``verdict``.
"""
