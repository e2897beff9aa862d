"""Commands about dishes: as a schema.org recipe, out and in."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path

from mealplan.cli.arguments import Add, json_argument, read_text
from mealplan.errors import IntakeError


def add_recipes(add: Add) -> None:
    """
    Add these commands to the command line.

    Parameters
    ----------
    add : callable
        Adds one command: name, what runs it, what it does, an example.
    """
    recipe = add(
        "recipe",
        _recipe,
        "print a dish as a schema.org recipe, or read one as the draft of a dish of your own",
        "mealplan recipe --read stew.json > own.toml",
    )
    which = recipe.add_mutually_exclusive_group(required=True)
    which.add_argument("dish", nargs="?", metavar="DISH", help="key of a dish that ships")
    which.add_argument(
        "--read", type=Path, metavar="FILE", help="a file that holds a schema.org Recipe (JSON-LD)"
    )
    recipe.add_argument(
        "--portions", type=int, metavar="N", help="portions cooked at once (1 to 8)"
    )
    json_argument(recipe)

    dishes = add(
        "dishes",
        _dishes,
        "list the dishes that ship, with their keys, by words for them",
        "mealplan dishes pakistani",
    )
    dishes.add_argument(
        "words", nargs="*", help="a kitchen, kind, texture, food or name; all dishes if left out"
    )
    words = add(
        "taste-words",
        _taste_words,
        "list the kitchens, kinds of dish, textures and groups that likes and dislikes accept",
        "mealplan taste-words",
    )
    json_argument(words)


def _dishes(options: argparse.Namespace) -> int:
    from foods.composition.catalogue import Catalogue
    from foods.dishes.load import load_dishes
    from mealplan.kitchen.preferences import read_word

    dishes = load_dishes()
    words = " ".join(options.words)
    if words:
        foods, keys = read_word(words, Catalogue.load(), dishes, "words")
        dishes = tuple(
            dish
            for dish in dishes
            if dish.key in keys or foods & {line.food for line in dish.lines if not line.optional}
        )
    for dish in dishes:
        occasions = ", ".join(dish.occasions)
        print(f"{dish.key}\n    {dish.name} ({dish.tradition}; {occasions})")
    print(f"{len(dishes)} dishes")
    return 0


def _taste_words(options: argparse.Namespace) -> int:
    from foods.composition.catalogue import Catalogue
    from foods.dishes.load import load_dishes
    from mealplan.kitchen.taste_words import taste_words

    found = taste_words(load_dishes(), Catalogue.load())
    if options.json:
        listed = {
            about: [{"word": one.word, "dishes": one.dishes, "also": one.also} for one in words]
            for about, words in found.items()
        }
        print(json.dumps(listed, ensure_ascii=False, indent=2))
        return 0
    for about, words in found.items():
        print(f"{about[:1].upper()}{about[1:]}")
        for one in words:
            also = f" (also: {', '.join(one.also)})" if one.also else ""
            count = f", {one.dishes} dishes" if one.dishes else ""
            print(f"  {one.word}{also}{count}")
    return 0


def _recipe(options: argparse.Namespace) -> int:
    if options.portions is not None and not 1 <= options.portions <= 8:
        raise IntakeError(f"--portions {options.portions}: from 1 to 8")
    return _read(options) if options.read else _write(options)


def _write(options: argparse.Namespace) -> int:
    from foods.composition.catalogue import Catalogue
    from foods.dishes.load import dishes_by_key, load_dishes
    from mealplan.kitchen.recipe_out import recipe_of

    dish = dishes_by_key(load_dishes()).get(options.dish)
    if dish is None:
        raise IntakeError(
            f"no dish has the key {options.dish[:60]!r}; `mealplan dishes WORDS` lists them with "
            "their keys"
        )
    print(
        json.dumps(
            recipe_of(dish, Catalogue.load(), options.portions), ensure_ascii=False, indent=2
        )
    )
    return 0


def _read(options: argparse.Namespace) -> int:
    from foods.composition.catalogue import Catalogue
    from mealplan.kitchen.recipe_in import read_recipe

    draft = read_recipe(read_text(options.read), Catalogue.load(), str(options.read))
    if options.json:
        found = {"dish": draft.data(), "questions": draft.questions, "notes": draft.notes}
        print(json.dumps(found, ensure_ascii=False, indent=2))
        return 0
    print(draft.toml(), end="")
    for question in draft.questions:
        print(f"asked: {question}", file=sys.stderr)
    return 0
