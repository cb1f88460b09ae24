"""Importance sampling against posteriors known in closed form or by quadrature; statistics of weighted values."""

import numpy as np
import pytest
from scipy import stats

from detentsim.analysis.in_hand.fit.sampled.sampling import sample
from detentsim.analysis.in_hand.fit.sampled.share import weighted_share
from detentsim.analysis.in_hand.fit.sampled.weighted import effective, quantiles, resampled
from detentsim.knife.record.drawing import spread_points


def prior(dimensions, seed=0):
    return stats.norm.ppf(spread_points(dimensions, 1024, seed))


def moments(found):
    mean = found.weights @ found.points
    away = found.points - mean
    return mean, (away * found.weights[:, None]).T @ away


def gaussian(matrix, read, errors):
    """Posterior of standard normals read as `matrix @ z` (Bayesian linear regression, closed form)."""
    precision = np.eye(matrix.shape[1]) + (matrix / errors[:, None] ** 2).T @ matrix
    covariance = np.linalg.inv(precision)
    return covariance @ matrix.T @ (read / errors**2), covariance


@pytest.mark.parametrize("seed", [0, 1, 2])
@pytest.mark.parametrize(
    ("matrix", "read", "errors"),
    [
        ([[1.0, 0.0], [1.0, 1.0]], [0.5, 1.8], [0.05, 0.1]),
        ([[1.0, 0.5, 0.2, 0.0], [0.0, 1.0, -0.4, 0.3]], [1.0, -2.0], [0.02, 0.02]),  # two readings of four unknowns
        ([[1.0] * 8, [1.0, -1.0] * 4, [0.0, 2.0] * 4], [3.0, 1.0, 1.0], [0.1, 0.05, 0.3]),
    ],
)
def test_a_linear_normal_case_has_the_closed_posterior(matrix, read, errors, seed):
    matrix, read, errors = (np.array(part) for part in (matrix, read, errors))

    def log_likelihood(points):
        return -0.5 * np.sum(((points @ matrix.T - read) / errors) ** 2, axis=1)

    found = sample(log_likelihood, prior(matrix.shape[1], seed), seed)
    assert found.effective >= 1500
    mean, covariance = gaussian(matrix, read, errors)
    own_mean, own_covariance = moments(found)
    width = np.sqrt(np.diag(covariance))
    # five standard errors of a mean and of a variance of so many values
    assert np.max(np.abs(own_mean - mean) / width) < 5 / np.sqrt(found.effective)
    assert np.max(np.abs(np.diag(own_covariance) / width**2 - 1)) < 5 * np.sqrt(2 / found.effective)


@pytest.mark.slow
def test_two_peaks_are_both_kept():
    """Where only the square is read, either sign will do, and each has half the weight."""
    found = sample(lambda z: -0.5 * ((z[:, 0] ** 2 - 4) / 0.05) ** 2, prior(3), 0)
    assert np.sum(found.weights[found.points[:, 0] > 0]) == pytest.approx(0.5, abs=5 * 0.5 / np.sqrt(found.effective))


def test_a_reading_in_the_tail_is_reached():
    """Six standard deviations out no point of the prior lies; the normal posterior is known in closed form."""
    found = sample(lambda z: -0.5 * ((z[:, 0] - 6) / 0.1) ** 2, prior(6), 0)
    mean, covariance = moments(found)
    assert mean[0] == pytest.approx(6 / 1.01, abs=0.02)
    assert covariance[0, 0] == pytest.approx(0.01 / 1.01, rel=0.2)


def test_no_likelihood_leaves_the_prior():
    found = sample(lambda z: np.full(len(z), -np.inf), prior(2), 0)
    assert np.all(found.weights == found.weights[0])
    assert np.all(found.points == prior(2))


def test_the_same_seed_gives_the_same_points():
    one, other = (sample(lambda z: -0.5 * (z[:, 0] / 0.01 - 50) ** 2, prior(2), 3) for _ in range(2))
    assert one.points.tobytes() == other.points.tobytes()
    assert one.weights.tobytes() == other.weights.tobytes()


def test_weighted_quantiles_leave_the_share_below():
    rng = np.random.default_rng(0)
    values, counts = rng.normal(size=400), rng.integers(1, 5, 400)
    weights = counts / counts.sum()
    for share in (0.05, 0.5, 0.95):
        below = np.sum(weights[values <= quantiles(values, weights, share)])
        assert below == pytest.approx(share, abs=np.max(weights))
    assert quantiles(values, np.full(400, 1 / 400), [0.1, 0.9]) == pytest.approx(np.quantile(values, [0.1, 0.9]))


def test_resampling_keeps_every_share():
    weights = np.random.default_rng(1).dirichlet(np.ones(50))
    counts = np.bincount(resampled(weights, 1000), minlength=50)
    assert np.max(np.abs(counts - 1000 * weights)) < 1
    assert effective(weights) < 50


def test_a_weighted_share_has_wilsons_interval():
    # Wilson's interval of 8 in 10: 0.490 to 0.943 (Wilson 1927; tabulated in textbooks, from memory)
    share = weighted_share(np.arange(10) < 8, np.full(10, 0.1))
    assert (share.low, share.high) == pytest.approx((0.490, 0.943), abs=5e-4)
