"""
A dish as a schema.org Recipe: what any program that reads recipes understands.

Lines, amounts, times and words go out; ranges, states and the proof travel in the kitchen's own
file, as schema.org has no place for them.

References
----------
.. [1] schema.org, type Recipe: https://schema.org/Recipe; durations after ISO 8601.
"""

from __future__ import annotations

from foods.composition.catalogue import Catalogue, KitchenFood
from foods.dishes.line import DishLine
from foods.dishes.minutes import minutes_of
from foods.dishes.model import Dish
from foods.dishes.process import line_start
from foods.dishes.render import tell
from foods.dishes.walk import walk

CONTEXT = "https://schema.org"
OCCASION_WORDS = {
    "breakfast": "breakfast", "midday": "lunch", "evening": "dinner", "small": "snack",
}  # fmt: skip
"""What a recipe's category says for the meals a dish suits."""
IF_USING = "if using"
PLUS_A_NIGHT = "Begun the evening before: the total time is the day's, plus a night."


def recipe_of(dish: Dish, catalogue: Catalogue, portions: int | None = None) -> dict[str, object]:
    """
    Write a dish as a schema.org Recipe.

    Parameters
    ----------
    dish : Dish
    catalogue : Catalogue
        With foods of one's own.
    portions : int, optional
        Portions cooked at once; as many as one cooking makes when left out.

    Returns
    -------
    dict
        JSON-LD, at each line's typical amount.
    """
    count = portions or dish.batch_portions
    hands, total = dish.hands_on_min, dish.total_min
    tools: list[str] = [tool for tool in dish.equipment if tool != "none"]
    if dish.steps:
        minutes = minutes_of(dish.lines, dish.steps, None, count)
        hands, total = minutes.hands, minutes.total
        used = (moment.verb.cooker for moment in walk(dish.lines, dish.steps))
        tools = list(dict.fromkeys([*tools, *filter(None, used)]))
    night = {"description": PLUS_A_NIGHT} if dish.soak_night_before else {}
    return {
        "@context": CONTEXT,
        "@type": "Recipe",
        "identifier": dish.key,
        "name": dish.name,
        **night,
        "recipeCuisine": dish.tradition,
        "recipeCategory": [OCCASION_WORDS[occasion] for occasion in dish.occasions],
        "recipeYield": f"{count} portion{'' if count == 1 else 's'}",
        "prepTime": duration(hands),
        "totalTime": duration(total),
        "tool": tools,
        "recipeIngredient": [
            ingredient_text(line, catalogue.food(line.food), count) for line in dish.lines
        ],
        "recipeInstructions": [
            {"@type": "HowToStep", "text": text} for text in _words(dish, catalogue, count)
        ],
        "suitableForDiet": f"{CONTEXT}/VeganDiet",
    }


def duration(minutes: int) -> str:
    """
    Write minutes as ISO 8601 does.

    Parameters
    ----------
    minutes : int
        [min]

    Returns
    -------
    str
        Such as ``PT1H20M``.
    """
    hours, rest = divmod(minutes, 60)
    return "PT" + (f"{hours}H" if hours else "") + (f"{rest}M" if rest or not hours else "")


def ingredient_text(line: DishLine, food: KitchenFood, portions: int) -> str:
    """
    Write one line with its amount and the food it means.

    Parameters
    ----------
    line : DishLine
    food : KitchenFood
    portions : int

    Returns
    -------
    str
        Such as ``280 g rice [Rice, white, boiled; 100 g dry]``; what is weighed cooked and goes in
        raw or frozen says so.
    """
    grams = line.typical_g * portions
    dry = f"; {_grams(grams / food.yield_factor)} dry" if _comes_dry(line, food) else ""
    start = line_start(line, food)
    if not dry and food.state in ("boiled", "baked") and start in ("raw", "frozen"):
        dry = f"; {_grams(grams / food.yield_factor)} {start}"
    added = f", {IF_USING}" if line.optional else ""
    return f"{grams:.6g} g {line.called} [{food.name}{dry}]{added}"


def _comes_dry(line: DishLine, food: KitchenFood) -> bool:
    return line_start(line, food) == "dried" and food.yield_factor > 1


def _grams(grams: float) -> str:
    return f"{grams:.0f} g" if grams >= 10 else f"{grams:.2g} g"


def _words(dish: Dish, catalogue: Catalogue, portions: int) -> tuple[str, ...]:
    """Give the sentences of a dish; a plain method as it stands."""
    if not dish.steps:
        return dish.method
    lines = {line.called: line for line in dish.lines}

    def say(name: str, grams: float) -> str:
        line, food = lines[name], catalogue.food(lines[name].food)
        if _comes_dry(line, food):
            return f"{_grams(grams / food.yield_factor)} dry"
        return _grams(grams)

    grams = {line.food: line.typical_g * portions for line in dish.lines}
    return tell(dish, grams, portions, say, catalogue=catalogue).all
