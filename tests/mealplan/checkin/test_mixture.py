"""Bands and chances of a mixture of normal distributions."""

import numpy as np
import pytest
from scipy import stats

from mealplan.checkin.energy.mixture import Mixture, normal_cdf


def test_the_normal_distribution_is_that_of_a_general_library():
    z = np.linspace(-6, 6, 241)
    # source: published software: scipy's normal distribution
    assert np.allclose(normal_cdf(z), stats.norm.cdf(z), atol=1e-7)


def test_one_member_is_a_normal_distribution():
    one = Mixture(np.array([1.0]), np.array([100.0]), np.array([40.0]))
    # source: published software: scipy's normal distribution
    assert one.band == pytest.approx(stats.norm.ppf([0.05, 0.95], 100, 40), abs=0.1)
    assert one.chance_of_side() == pytest.approx(stats.norm.cdf(2.5), abs=1e-6)


def test_mean_spread_and_band_are_those_of_draws():
    mixed = Mixture(np.array([0.8, 0.2]), np.array([0.0, 200.0]), np.array([50.0, 150.0]))
    rng = np.random.default_rng(0)
    which = rng.random(400_000) < 0.2
    draws = np.where(which, rng.normal(200, 150, 400_000), rng.normal(0, 50, 400_000))
    # source: worked by hand: by drawing
    assert mixed.mean == pytest.approx(draws.mean(), abs=1.0)
    assert mixed.sd == pytest.approx(draws.std(), rel=0.01)
    assert mixed.band == pytest.approx(np.quantile(draws, [0.05, 0.95]), abs=3.0)
    assert mixed.chance_above(100.0) == pytest.approx((draws > 100).mean(), abs=0.003)
