"""Dishes go out as schema.org recipes and come back; recipes from elsewhere become drafts."""

from __future__ import annotations

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foods.composition.catalogue import Catalogue
from foods.dishes.load import load_dishes
from foods.registry.errors import FoodError
from mealplan.cli.main import main
from mealplan.kitchen.ingredient import match_line
from mealplan.kitchen.recipe_in import read_recipe
from mealplan.kitchen.recipe_out import duration, recipe_of

CATALOGUE = Catalogue.load()
DISHES = load_dishes()


def test_every_dish_goes_out_and_comes_back_with_lines_amounts_times_and_words():
    for dish in DISHES:
        sent = recipe_of(dish, CATALOGUE)
        back = read_recipe(json.dumps(sent), CATALOGUE).dish()
        assert [(line.food, line.called, line.optional) for line in back.lines] == [
            (line.food, line.called, line.optional) for line in dish.lines
        ]
        for line, was in zip(back.lines, dish.lines, strict=True):
            assert line.typical_g == pytest.approx(was.typical_g, abs=2e-3)
        assert list(back.method) == [step["text"] for step in sent["recipeInstructions"]]
        assert duration(back.hands_on_min) == sent["prepTime"]
        assert duration(back.total_min) == sent["totalTime"]
        assert (back.name, back.tradition) == (dish.name, dish.tradition)
        assert set(back.occasions) == set(dish.occasions)
        assert not back.proven


# source: published (schema.org, type Recipe: its properties; ISO 8601-1:2019 for durations)
def test_only_words_of_the_standard_go_out():
    known = {
        "@context", "@type", "identifier", "name", "recipeCuisine", "recipeCategory",
        "recipeYield", "prepTime", "totalTime", "tool", "recipeIngredient",
        "recipeInstructions", "suitableForDiet",
    }  # fmt: skip
    assert set(recipe_of(DISHES[0], CATALOGUE)) == known
    assert (duration(80), duration(60), duration(5)) == ("PT1H20M", "PT1H", "PT5M")


# source: worked by hand (tin: 400 g, six tenths drained; 28.35 g an ounce; yields of the catalogue)
@pytest.mark.parametrize(
    ("text", "food", "grams"),
    [
        ("1 (400 g) tin chickpeas, drained and rinsed", "chickpeas_cooked", 240),
        ("1 can (15 oz) black beans", "black_beans_cooked", 0.6 * 15 * 28.35),
        ("200 g dried red lentils", "lentils_red_dry", 200),
        ("1 large onion, finely chopped", "onion_raw", 110),
        ("2 tbsp olive oil", "olive_oil", 27),
        ("100 g baby spinach", "spinach_raw", 100),
        ("½ tsp smoked paprika", "paprika_smoked", 1.15),
        ("200 g firm tofu, cubed", "tofu_firm_nigari", 200),
    ],
)
def test_a_line_is_matched_by_its_words(text, food, grams):
    line = match_line(text, CATALOGUE)
    assert (line.food, line.question) == (food, "")
    assert line.grams == pytest.approx(grams, rel=0.01)


def test_grain_is_weighed_dry_unless_a_recipe_says_otherwise():
    food = CATALOGUE.food("pasta_cooked")
    assert match_line("250 g spaghetti", CATALOGUE).grams == pytest.approx(250 * food.yield_factor)
    assert match_line("250 g cooked spaghetti", CATALOGUE).grams == pytest.approx(250)


@pytest.mark.parametrize(
    "text",
    ["2 eggs", "1 cup butter", "2 chicken breasts", "50 g cheddar cheese", "200 ml milk",
     "1 tbsp honey", "100 g feta, crumbled"],
)  # fmt: skip
def test_what_is_of_animals_is_never_matched(text):
    line = match_line(text, CATALOGUE)
    assert line.food == ""
    assert "not plant-based" in line.question


@pytest.mark.parametrize(
    "text",
    ["200 g chickpeas", "1 tin coconut milk", "1 cup rice", "salt and pepper to taste",
     "1 tbsp cornflour", "a handful of something green", "1 aubergine"],
)  # fmt: skip
def test_what_is_not_sure_is_asked(text):
    assert match_line(text, CATALOGUE).question


@pytest.mark.parametrize("text", ["250 g butter beans", "2 tbsp peanut butter", "100 g soy yogurt"])
def test_plants_with_the_name_of_an_animal_food_are_plants(text):
    assert match_line(text, CATALOGUE).food


FOREIGN = {
    "@context": "https://schema.org",
    "@graph": [
        {"@type": "WebSite", "name": "somewhere"},
        {
            "@type": ["Recipe"],
            "name": "Bean pot",
            "recipeYield": ["4", "4 servings"],
            "prepTime": "PT15M",
            "cookTime": "PT1H",
            "recipeIngredient": [
                "300 g dried kidney beans", "2 carrots, sliced", "1 tbsp olive oil", "2 eggs",
            ],
            "recipeInstructions": [
                {"@type": "HowToSection", "name": "Pot", "itemListElement": [
                    {"@type": "HowToStep", "text": "Simmer the beans for <b>ten</b> minutes"},
                    {"@type": "HowToStep", "text": "Add the carrots."},
                ]},
            ],
        },
    ],
}  # fmt: skip


def test_a_recipe_from_elsewhere_is_a_draft_with_questions():
    saved = f"<script type='application/ld+json'>{json.dumps(FOREIGN)}</script>"
    draft = read_recipe(saved, CATALOGUE)
    assert (draft.name, draft.portions) == ("Bean pot", 4)
    assert (draft.hands_on_min, draft.total_min) == (15, 75)
    assert draft.method == ("Simmer the beans for ten minutes.", "Add the carrots.")
    assert [line.text for line in draft.lines if line.question] == ["2 eggs"]
    with pytest.raises(FoodError, match="eggs"):
        draft.dish()
    beans = draft.data()["lines"][0]
    dry = CATALOGUE.food("kidney_beans_red_cooked").yield_factor
    assert beans["g"][1] == pytest.approx(300 * dry / 4)


def test_dried_beans_of_a_recipe_from_elsewhere_are_not_taken_as_cooked_by_its_words():
    sound = json.loads(json.dumps(FOREIGN))
    sound["@graph"][1]["recipeIngredient"].pop()
    dish = read_recipe(json.dumps(sound), CATALOGUE).dish()
    assert not dish.proven
    assert dish.cooks_from_dry == ()


@pytest.mark.parametrize(
    ("text", "says"),
    [("no json", "no JSON"), ("{}", "holds no schema.org Recipe"), ("[" * 5000, "no JSON"),
     ('{"@type": "Recipe"}', "no name"), ('{"@type": "Recipe", "name": "Air"}', "no ingredients"),
     ("x" * 500_000, "characters")],
)  # fmt: skip
def test_what_is_no_recipe_is_refused_in_a_line(text, says):
    with pytest.raises(FoodError, match=says):
        read_recipe(text, CATALOGUE)


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=120))
def test_no_line_breaks_the_reader(text):
    line = match_line(text, CATALOGUE)
    assert line.question or (line.food and line.grams is not None)


def test_the_command_writes_and_reads(tmp_path, capsys):
    assert main(["recipe", "split-pea-soup-rye", "--portions", "2"]) == 0
    sent = capsys.readouterr().out
    path = tmp_path / "soup.json"
    path.write_text(sent, encoding="utf-8")
    assert json.loads(sent)["recipeYield"] == "2 portions"
    assert main(["recipe", "--read", str(path), "--json"]) == 0
    read = json.loads(capsys.readouterr().out)
    assert read["questions"] == []
    assert main(["recipe", "--read", str(path)]) == 0
    assert "[[dish]]" in capsys.readouterr().out
    assert main(["recipe", "no-such-dish"]) == 3


def test_a_recipe_says_the_raw_weight_every_tool_and_the_night_before():
    dishes = {dish.key: dish for dish in DISHES}
    roast = recipe_of(dishes["greek-roast-vegetables-lemon-tofu"], CATALOGUE, 1)
    potatoes = next(text for text in roast["recipeIngredient"] if "potatoes" in text)
    food = CATALOGUE.food("potato_boiled")
    assert potatoes.endswith(f"; {234 / food.yield_factor:.0f} g raw]")
    skewers = recipe_of(dishes["seitan-souvlaki-pita"], CATALOGUE, 1)
    assert {"oven", "grill", "hob"} <= set(skewers["tool"])
    assert "description" not in skewers
    soaked = recipe_of(dishes["mushroom-tofu-larb-sticky-rice"], CATALOGUE, 1)
    assert "plus a night" in soaked["description"]
