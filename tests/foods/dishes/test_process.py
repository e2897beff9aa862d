"""A dish is a process: it is proven, timed and written from its steps, and damage is found."""

from __future__ import annotations

import pytest

from foods.composition.catalogue import Catalogue
from foods.dishes.actions import cuts, verbs, vessels
from foods.dishes.check import all_faults, parts_of, safety_faults
from foods.dishes.load import dishes_by_key, former_keys, load_dishes, own_dishes
from foods.dishes.minutes import kept_minutes, minutes_of
from foods.dishes.model import Dish
from foods.dishes.render import tell
from foods.dishes.taste import salt_share, taste_faults
from foods.dishes.treatments import treatments
from foods.registry.errors import FoodError
from tests.folded import for_each

CATALOGUE = Catalogue.load()
PROVEN = [dish for dish in load_dishes() if dish.proven]
each_proven = for_each(PROVEN, lambda dish: dish.key)


@each_proven
def test_a_shipped_dish_is_proven_tastes_of_something_and_fits_its_pans(dish):
    assert all_faults(dish, CATALOGUE) == []


def test_every_treatment_names_kitchen_foods_and_says_where_it_comes_from():
    for key, rows in treatments().items():
        assert key in CATALOGUE
        for row in rows:
            assert row.source
            assert row.provenance in {
                "published", "confirmed by independent transcription", "common practice",
            }  # fmt: skip


# source: published (US FDA, Bad Bug Book, 2nd ed. 2012: 30 minutes at the boil)
@pytest.mark.parametrize(
    "key", ["kidney_beans_red_cooked", "white_beans_cooked", "black_beans_cooked",
            "pinto_beans_cooked", "lima_beans_cooked", "hyacinth_beans_cooked"],
)  # fmt: skip
def test_beans_with_lectin_are_soaked_and_boil_hard_for_half_an_hour(key):
    for row in treatments()[key]:
        assert row.soak_h >= 5
        assert row.hard_boil_min >= 30
        assert row.least_min >= row.hard_boil_min


# --------------------------------------------------------------------------- ten kinds of damage

STEW = {
    "key": "bean-stew-rice",
    "name": "Bean stew with rice and salad",
    "tradition": "kitchen",
    "occasions": ["evening"],
    "keeps_days": 1,
    "batch_portions": 4,
    "lines": [
        {"food": "kidney_beans_red_cooked", "called": "beans", "g": [94, 133, 177],
         "eaten": "cooked", "start": "dried"},
        {"food": "rice_white_cooked", "called": "rice", "g": [139, 198, 316], "eaten": "cooked"},
        {"food": "potato_boiled", "called": "potato", "g": [78, 156, 156], "eaten": "cooked",
         "cut": "dice"},
        {"food": "tomatoes_canned", "called": "tomatoes", "g": [60, 120, 180], "eaten": "cooked"},
        {"food": "onion_raw", "called": "onion", "g": [27, 55, 82], "eaten": "cooked",
         "cut": "chop"},
        {"food": "canola_oil", "called": "oil", "g": [4, 9, 14]},
        {"food": "cumin_ground", "called": "cumin", "g": [2, 2, 2]},
        {"food": "salt", "called": "salt", "g": [2.25, 3, 4]},
        {"food": "cucumber_raw", "called": "cucumber", "g": [52, 78, 104], "eaten": "raw",
         "cut": "slice"},
    ],
    "steps": [
        {"do": "soak", "take": ["beans"], "in": "bowl", "min": 480, "at": "evening before"},
        {"do": "boil", "take": ["beans"], "in": "second pot", "min": 75, "water_ml": 300,
         "until": "soft"},
        {"do": "cook grain", "take": ["rice"], "in": "small pot", "min": 16},
        {"do": "soften", "take": ["onion"], "with": ["oil"], "in": "pot", "min": 8},
        {"do": "stir in", "take": ["cumin"], "min": 1},
        {"do": "simmer", "take": ["tomatoes", "potato", "salt"], "min": 18, "water_ml": 100},
        {"do": "simmer", "take": ["beans"], "min": 5},
        {"do": "spoon over", "on": ["rice"], "at": "plate"},
        {"do": "serve with", "take": ["cucumber"], "at": "plate"},
    ],
}  # fmt: skip


def stew(change=None):
    """Copy the sound dish, changed by a function that gets its data."""
    data = {
        **STEW,
        "lines": [dict(line) for line in STEW["lines"]],
        "steps": [dict(step) for step in STEW["steps"]],
    }
    if change is not None:
        change(data)
    return Dish.model_validate(data)


def without_step(number):
    return lambda data: data["steps"].pop(number)


def with_step(number, **fields):
    return lambda data: data["steps"][number].update(fields)


def line_of(data, called):
    return next(line for line in data["lines"] if line["called"] == called)


def kept_cucumber(data):
    data["steps"].pop()
    data["steps"].insert(-1, {"do": "fold in", "take": ["cucumber"], "in": "pot"})


def salt_gone(data):
    data["lines"].remove(line_of(data, "salt"))
    data["steps"][5]["take"].remove("salt")


def salt_gone_copy(data):
    data["steps"][5]["take"] = list(data["steps"][5]["take"])
    salt_gone(data)


DAMAGES = {
    "a boil removed": (without_step(1), "beans"),
    "a soak removed": (without_step(0), "soaked 0 of 8 h"),
    "minutes cut": (with_step(1, min=20), "boils hard 20 of 30 min"),
    "a state mistyped": (lambda d: line_of(d, "rice").update(eaten="raw"), "rice"),
    "water left out": (with_step(2, do="simmer"), "add water"),
    "salt left out": (salt_gone_copy, "salt is"),
    "a vessel too small": (with_step(3, **{"in": "small pan"}), "small pan that takes"),
    "a food never used": (lambda d: d["steps"].pop(), "cucumber is never used"),
    "an allergen in free text": (with_step(5, until="the walnuts are soft"), "tree_nut"),
    "a kept part reheated that should not be": (kept_cucumber, "cucumber is"),
}


def test_the_sound_dish_passes():
    assert all_faults(stew(), CATALOGUE) == []


@pytest.mark.parametrize("kind", DAMAGES)
def test_a_damage_is_found(kind):
    change, said = DAMAGES[kind]
    faults = all_faults(stew(change), CATALOGUE)
    assert any(said in fault for fault in faults), faults


@pytest.mark.parametrize("kind", [kind for kind in DAMAGES if kind not in ("salt left out",)])
def test_a_dish_of_ones_own_that_could_hurt_does_not_load(kind):
    change, _ = DAMAGES[kind]
    if safety_faults(stew(change), CATALOGUE):
        with pytest.raises(FoodError, match="bean-stew-rice"):
            own_dishes(as_toml(stew(change)), "mine.toml")


def as_toml(dish):
    """Write the test dish as the file a cook would give."""
    lines = ",\n".join(
        f'{{food="{x.food}", called="{x.called}", g={list(x.g)}, eaten="{x.eaten}"'
        + (f', start="{x.start}"' if x.start else "")
        + (f', cut="{x.cut}"' if x.cut else "")
        + "}"
        for x in dish.lines
    )
    steps = ",\n".join(
        "{"
        + ", ".join(
            f"{key}={value!r}".replace("(", "[").replace(",)", "]").replace(")", "]")
            for key, value in step.model_dump(by_alias=True, exclude_defaults=True).items()
        ).replace("'", '"')
        + "}"
        for step in dish.steps
    )
    return (
        f'[[dish]]\nkey="{dish.key}"\nname="{dish.name}"\ntradition="kitchen"\n'
        f'occasions=["evening"]\nkeeps_days=1\nbatch_portions=4\nlines=[{lines}]\nsteps=[{steps}]\n'
    )


@for_each(PROVEN[::6], lambda dish: dish.key)
def test_a_shipped_dish_without_its_heat_or_with_a_line_unused_is_found(dish):
    hot = [step for step in dish.steps if step.verb.way in ("boil", "fry", "bake", "hard boil")]
    if hot:
        cold = dish.model_copy(update={"steps": tuple(s for s in dish.steps if s not in hot)})
        assert safety_faults(cold, CATALOGUE)
    every = [name for step in dish.steps for name in (*step.take, *step.with_, *step.on)]
    once = {line.called for line in dish.lines if every.count(line.called) == 1}
    only = next(step for step in dish.steps if once & set(step.take))
    unused = dish.model_copy(update={"steps": tuple(s for s in dish.steps if s != only)})
    assert any("never used" in fault for fault in safety_faults(unused, CATALOGUE))


# --------------------------------------------------------------------- what follows from the steps


def required(dish):
    return frozenset(line.food for line in dish.lines if not line.optional)


@each_proven
def test_minutes_are_hands_within_the_whole_and_grow_with_the_pot(dish):
    one = minutes_of(dish.lines, dish.steps, required(dish), 1)
    pot = minutes_of(dish.lines, dish.steps, required(dish), dish.batch_portions)
    assert 1 <= one.hands <= one.total
    assert pot.hands >= one.hands
    assert pot.hands <= dish.batch_portions * one.hands  # one pot never takes more than many
    kept = kept_minutes(dish.lines, dish.steps, required(dish), reheated=dish.kept == "reheated")
    assert kept.hands <= one.hands + 2


def test_a_kept_portion_is_warmed_and_a_cold_one_is_not():
    # source: common practice (a plate in the microwave or a pan: 7 minutes until it steams right
    # through, 2 of them at it); worked by hand (a stew with nothing to do at the plate)
    served = frozenset({"onion_raw", "tomatoes_canned", "chickpeas_cooked"})
    dish = next(d for d in PROVEN if served <= required(d) and d.kept == "reheated")
    pot_only = tuple(step for step in dish.steps if step.at == "cook")
    warm = kept_minutes(dish.lines, pot_only, required(dish), reheated=True)
    cold = kept_minutes(dish.lines, pot_only, required(dish), reheated=False)
    assert (warm.hands, warm.total) == (2, 7)
    assert (cold.hands, cold.total) == (1, 1)


@each_proven
def test_numbers_of_a_dish_are_those_of_its_steps(dish):
    minutes = minutes_of(dish.lines, dish.steps)
    assert (dish.hands_on_min, dish.total_min) == (minutes.hands, minutes.total)
    assert dish.equipment


def test_hands_go_on_while_something_cooks():
    # source: worked by hand: rice (16 min) and stew (32 min) side by side are not 48 minutes
    minutes = minutes_of(stew().lines, stew().steps)
    apart = sum(step.min for step in stew().steps if step.at == "cook")
    assert minutes.total < apart


@each_proven
def test_no_slot_of_a_sentence_is_left_open(dish):
    grams = {line.food: line.typical_g for line in dish.lines}
    for text in tell(dish, grams).all:
        assert not set("{}[]") & set(text), text
        assert "the the" not in text


def test_water_follows_the_pot_and_dry_weight_is_said():
    dish = stew()
    grams = {line.food: line.typical_g for line in dish.lines}
    four = {food: 4 * g for food, g in grams.items()}
    one = " ".join(tell(dish, grams).all)
    pot = " ".join(tell(dish, four, 4).all)
    assert "100 ml of water" in one
    assert "400 ml of water" in pot


def test_a_share_of_a_line_is_said_with_its_amount_and_the_rest_follows():
    dish = next(dish for dish in PROVEN if any(step.part for step in dish.steps))
    grams = {line.food: line.typical_g for line in dish.lines}
    text = " ".join(tell(dish, grams, 1, lambda name, g: f"{g:.0f} g").all)
    assert "the rest of the" in text


def test_parts_of_a_kept_portion():
    # source: worked by hand
    parts = parts_of(stew())
    assert "cucumber" in parts.fresh
    assert {"beans", "potato"} <= set(parts.reheated)
    slaw = next(dish for dish in PROVEN if dish.key == "jacket-potatoes-tomato-beans")
    assert {"red cabbage", "carrot"} <= set(parts_of(slaw).cold)


@for_each(
    [d for d in PROVEN if d.savoury and {"midday", "evening"} & set(d.occasions)],
    lambda dish: dish.key,
)
def test_salt_of_a_savoury_main_is_three_to_seven_in_a_thousand(dish):
    assert 0.003 <= salt_share(dish, CATALOGUE) <= 0.007


def test_the_closed_lists_hold_together():
    for verb in verbs().values():
        assert verb.vessel in {"", *vessels()}
        assert 0 <= verb.hands_share <= 1
    for cut in cuts().values():
        assert cut.min_per_100g > 0


def test_a_dropped_dish_opens_under_the_one_that_stands_for_it():
    dishes = dishes_by_key(load_dishes())
    for former, now in former_keys().items():
        assert dishes[former].key == now
        assert former not in {dish.key for dish in load_dishes()}


def named_after_an_add_on(data):
    data["name"] = "Bean stew with almonds"
    data["lines"].append(
        {"food": "almonds", "called": "almonds", "g": [9, 18, 90], "optional": True}
    )
    data["steps"].append({"do": "scatter", "take": ["almonds"], "at": "plate"})


def test_a_name_promises_nothing_that_may_be_left_out():
    faults = taste_faults(stew(named_after_an_add_on), CATALOGUE)
    assert "almonds stands in the name and may be left out" in faults


def test_salt_may_not_fall_far_below_its_usual_amount():
    bland = stew(lambda data: line_of(data, "salt").update(g=[0.75, 3, 3]))
    assert any("salt may fall to 25%" in fault for fault in taste_faults(bland, CATALOGUE))
