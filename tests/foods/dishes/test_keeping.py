"""A dish is kept no longer than its food keeps."""

import pytest

from foods.composition.catalogue import Catalogue
from foods.dishes.load import COOKED_DAYS, check_lines, load_dishes
from foods.registry.errors import FoodError
from mealplan.kitchen.food_safety import keeping

DISHES = load_dishes()
COOKED = next(d for d in DISHES if any(line.eaten == "cooked" for line in d.lines) and d.keeps_days)
CATALOGUE = Catalogue.load()


def test_cooked_food_keeps_as_long_as_the_published_table_says():
    # source: published (USDA FSIS, Leftovers and Food Safety: 3 to 4 days; the shorter end)
    assert keeping("cooked").fridge_days == COOKED_DAYS == 3


def test_a_cooked_dish_kept_five_days_in_the_fridge_is_refused():
    long = COOKED.model_copy(update={"keeps_days": 5, "freezes": False, "steps": ()})
    with pytest.raises(FoodError, match="does not keep 5 days; lower keeps_days to 3"):
        check_lines([long], CATALOGUE)


def test_a_cooked_dish_that_freezes_may_be_kept_five_days():
    check_lines(
        [COOKED.model_copy(update={"keeps_days": 5, "freezes": True, "steps": ()})], CATALOGUE
    )


def test_what_ships_and_keeps_long_without_freezing_is_dry():
    long = [dish for dish in DISHES if dish.keeps_days > COOKED_DAYS and not dish.freezes]
    assert long
    check_lines(long, CATALOGUE)


def test_a_whole_potato_is_pricked_before_it_is_baked_or_put_in_the_microwave():
    # source: common practice (steam under a whole skin bursts it)
    whole = 0
    for dish in DISHES:
        uncut = {
            line.called
            for line in dish.lines
            if not line.cut and line.food.startswith(("potato", "sweet_potato"))
        }
        for step in dish.steps:
            alone = set(step.take) and set(step.take) <= uncut
            if step.do in {"bake", "microwave"} and alone and step.until != "hot through":
                whole += 1
                assert "prick" in step.first, dish.key
    assert whole >= 10
