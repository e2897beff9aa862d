import pytest
from hypothesis import given
from hypothesis import strategies as st

from mealplan.errors import TargetError
from mealplan.nutrition import equivalents, weights


@given(grams=st.floats(0, 5000), refuse=st.floats(0, 95))
def test_buying_and_trimming_undo_each_other(grams: float, refuse: float) -> None:
    bought = weights.purchased_g(grams, refuse)
    assert bought >= grams
    assert weights.edible_g(bought, refuse) == pytest.approx(grams)


# source: worked by hand ((100 - 10) / (100 - 70))
def test_dry_matter_is_kept_in_cooking() -> None:
    assert weights.dry_matter_yield(10, 70) == pytest.approx(3.0)
    assert weights.dry_g(600, 3.0) == pytest.approx(200)


@pytest.mark.parametrize(
    ("call", "hint"),
    [
        (lambda: weights.purchased_g(100, 100), "outside 0 to 100"),
        (lambda: weights.edible_g(100, -1), "outside 0 to 100"),
        (lambda: weights.dry_g(100, 0), "above 0"),
        (lambda: equivalents.energy_kcal(1, 1, 1, (4, 0.84, 4)), "published energy value"),
    ],
)
def test_impossible_input_says_how_to_mend_it(call, hint: str) -> None:
    with pytest.raises(TargetError, match=hint):
        call()


# source: published (general Atwater factors 4, 9 and 4; alcohol 6.93 kcal/g)
def test_energy_uses_the_general_factors_unless_told() -> None:
    assert equivalents.energy_kcal(10, 10, 10) == 170
    assert equivalents.energy_kcal(0, 0, 0, alcohol_g=10) == pytest.approx(69.3)
