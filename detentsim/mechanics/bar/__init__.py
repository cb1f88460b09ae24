"""The lock bar as a spring: stiffness, bend, yield, service, over-travel, fatigue.

Comes in: bar fields of the record.
Leaves: stiffness, offsets, moments, stresses.
Must not know: ball, dimple, blade.
Read first: ``beam`` (stiffness), then ``bending`` and ``service``.
"""
