"""Simulated clients with resting tests, some of them faulty: how far off is the energy target?"""

from __future__ import annotations

import numpy as np
import pytest

from mealplan.physiology.resting.evidence import pool

FAULTY = 0.05
PREDICTION_SD, TEST_SD, ACTIVITY_SD = 0.09, 0.05, 0.07
"""Spreads of the worlds drawn, as fractions; activity is the factor on resting energy."""


def world(clients: int, seed: int) -> dict[str, float]:
    """Compare pooling against the best pooling that knows which tests are faulty."""
    rng = np.random.default_rng(seed)
    ours, best, plain, inside = [], [], [], 0
    for _ in range(clients):
        predicted = rng.uniform(1200, 2200)
        spread = PREDICTION_SD * predicted
        true = rng.normal(predicted, spread)
        faulty = rng.random() < FAULTY
        # a leak, a meal, a wrong unit: anything from half to twice as much
        wild = true * np.exp(rng.normal(0, 0.35))
        test = wild if faulty else rng.normal(true, TEST_SD * true)
        found = pool(test, TEST_SD * test, predicted, spread, FAULTY)
        weight = 0.0 if faulty else spread**2 / (spread**2 + (TEST_SD * test) ** 2)
        always = spread**2 / (spread**2 + (TEST_SD * test) ** 2)
        factor = 1.7 * (1 + rng.normal(0, ACTIVITY_SD))
        for errors, rest in (
            (ours, found.energy_kcal),
            (best, predicted + weight * (test - predicted)),
            (plain, predicted + always * (test - predicted)),
        ):
            errors.append(1.7 * rest - factor * true)
        sd = np.hypot(1.7 * found.sd_kcal, ACTIVITY_SD * 1.7 * found.energy_kcal)
        inside += abs(ours[-1]) <= 1.645 * sd

    def size(errors: list[float]) -> float:
        return float(np.sqrt(np.mean(np.square(errors))))

    return {
        "over best": size(ours) / size(best) - 1,
        "plain over best": size(plain) / size(best) - 1,
        "held": inside / clients,
    }


def test_a_few_faulty_tests_cost_little():
    found = world(600, 1)
    assert found["over best"] < 0.08
    assert 0.86 <= found["held"] <= 0.94
    assert found["over best"] < found["plain over best"]


@pytest.mark.study
@pytest.mark.parametrize("seed", [11, 12, 13])
def test_two_thousand_clients_with_one_faulty_test_in_twenty(seed):
    found = world(2000, seed)
    assert found["over best"] <= 0.05
    assert 0.88 <= found["held"] <= 0.92
