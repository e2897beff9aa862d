"""The filter and smoother against a general-purpose library, and on odd readings."""

import numpy as np
import pytest

from mealplan.checkin.trend.state_space import Bank, run, smooth

LEVEL_ROW = [1.0, 0.0]


def trend_bank(
    reading=0.25, level=0.01, slope=1e-5, gate_sd=99.0, start=(80.0, 0.0), spread=(4.0, 0.01)
):
    return Bank(
        transition=np.array([[[1.0, 1.0], [0.0, 1.0]]]),
        process_variance=np.array([[level, slope]]),
        reading_variance=np.array([reading]),
        initial_mean=np.array([start]),
        initial_variance=np.array([spread]),
        gate_sd=gate_sd,
    )


def series(seed, days=90, missing=0.2, noise=0.5, slope=0.03):
    rng = np.random.default_rng(seed)
    values = 80 + slope * np.arange(days) + rng.normal(0, noise, days)
    values[rng.random(days) < missing] = np.nan
    values[30:44] = np.nan
    return values


def rows(days):
    return np.tile(LEVEL_ROW, (days, 1))


# source: published software: statsmodels' local linear trend, same data, variances and start
@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize(
    ("reading", "level", "slope"), [(0.25, 0.01, 1e-5), (0.3, 0.0, 1e-6), (0.1, 0.05, 1e-3)]
)
def test_filter_and_smoother_agree_with_a_general_library(seed, reading, level, slope):
    models = pytest.importorskip("statsmodels.tsa.api")
    values = series(seed)
    other = models.UnobservedComponents(values, "lltrend")
    other.initialize_known(np.array([80.0, 0.0]), np.diag([4.0, 0.01]))
    other.loglikelihood_burn = 0
    theirs = other.smooth([reading, level, slope])

    bank = trend_bank(reading, level, slope)
    course = run(bank, values, rows(len(values)))
    mean, covariance = smooth(bank, course)

    assert np.allclose(course.mean[:, 0], theirs.filtered_state.T, atol=1e-9)
    assert np.allclose(
        course.covariance[:, 0], theirs.filtered_state_cov.transpose(2, 0, 1), atol=1e-10
    )
    assert np.allclose(mean[:, 0], theirs.smoothed_state.T, atol=1e-9)
    assert np.allclose(covariance[:, 0], theirs.smoothed_state_cov.transpose(2, 0, 1), atol=1e-10)
    assert course.log_likelihood[-1, 0] == pytest.approx(theirs.llf, abs=1e-8)


def test_smoother_agrees_with_the_joint_normal_distribution():
    # source: worked by hand: conditioning one large multivariate normal, no recursion at all
    days, reading, level, slope = 12, 0.25, 0.02, 1e-3
    values = series(3, days=60)[:days]
    values[5] = np.nan
    forward = np.array([[1.0, 1.0], [0.0, 1.0]])
    mean = np.zeros(2 * days)
    cov = np.zeros((2 * days, 2 * days))
    m, p = np.array([80.0, 0.0]), np.diag([4.0, 0.01])
    for t in range(days):
        if t:
            m, p = forward @ m, forward @ p @ forward.T + np.diag([level, slope])
        mean[2 * t : 2 * t + 2] = m
        cross = p
        for u in range(t, days):
            if u > t:
                cross = cross @ forward.T
            cov[2 * t : 2 * t + 2, 2 * u : 2 * u + 2] = cross
            cov[2 * u : 2 * u + 2, 2 * t : 2 * t + 2] = cross.T
    seen = np.flatnonzero(~np.isnan(values))
    pick = 2 * seen
    s = cov[np.ix_(pick, pick)] + reading * np.eye(len(seen))
    gain = cov[:, pick] @ np.linalg.inv(s)
    expected = mean + gain @ (values[seen] - mean[pick])

    bank = trend_bank(reading, level, slope)
    got, _ = smooth(bank, run(bank, values, rows(days)))
    assert np.allclose(got[:, 0].ravel(), expected, atol=1e-8)


def test_one_wild_reading_is_set_aside():
    values = 80 + np.random.default_rng(1).normal(0, 0.4, 40)
    wild = values.copy()
    wild[25] = 90.0
    without = values.copy()
    without[25] = np.nan
    bank = trend_bank(gate_sd=3.0)
    a = run(bank, wild, rows(40))
    b = run(bank, without, rows(40))
    assert not a.seen[25].believed[0]
    assert np.allclose(a.mean[-1], b.mean[-1])


def test_three_readings_on_one_side_are_believed_as_a_step():
    values = np.full(40, 80.0)
    values[20:] = 84.0
    bank = trend_bank(gate_sd=3.0)
    course = run(bank, values, rows(40))
    believed = [bool(course.seen[day].believed[0]) for day in range(20, 23)]
    # source: common practice: two are set aside, the third is taken as a new level
    assert believed == [False, False, True]
    assert course.mean[22, 0, 0] == pytest.approx(84.0, abs=0.1)


def test_wild_readings_on_alternating_sides_are_never_believed():
    values = np.full(40, 80.0)
    values[20:26] = [86.0, 74.0, 86.0, 74.0, 86.0, 74.0]
    course = run(trend_bank(gate_sd=3.0), values, rows(40))
    assert not any(course.seen[day].believed[0] for day in range(20, 26))


def test_a_day_without_reading_only_widens_the_band():
    values = np.array([80.0, 80.2, np.nan, np.nan, np.nan])
    course = run(trend_bank(), values, rows(5))
    spread = course.covariance[:, 0, 0, 0]
    assert spread[2] < spread[3] < spread[4]
    assert course.mean[4, 0, 0] == pytest.approx(course.mean[1, 0] @ [1.0, 3.0])


def test_models_side_by_side_do_not_touch_each_other():
    one, two = trend_bank(reading=0.2, gate_sd=3.0), trend_bank(reading=0.5, gate_sd=3.0)
    both = Bank(
        *(
            np.concatenate([getattr(one, n), getattr(two, n)])
            for n in (
                "transition",
                "process_variance",
                "reading_variance",
                "initial_mean",
                "initial_variance",
            )
        ),
        3.0,
    )
    values = series(7)
    values[60] = 95.0
    together = run(both, values, rows(90)).mean
    assert np.allclose(together[:, :1], run(one, values, rows(90)).mean)
    assert np.allclose(together[:, 1:], run(two, values, rows(90)).mean)
