"""Weighted samples: adaptive importance sampling, its mixture, and statistics of weighted values.

Comes in: a likelihood of points in standard normals; values and weights.
Leaves: points with weights; quantiles, shares, effective numbers.
Must not know: knives and readings.
Read first: ``sampling``.
"""
