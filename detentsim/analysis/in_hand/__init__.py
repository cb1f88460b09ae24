"""The knife on the bench: how it compares, what its readings say, what to change, and pages for bench and customer.

Comes in: a ``Build``; measured curves, readings, symptoms.
Leaves: ``Comparison``, ``Fit``, ``Advice``, ``Sheet``, ``Report``.
Must not know: files of reports, figures.
Read first: ``compare/compare``, then ``fit/fit`` and ``advise/advise``.
"""
