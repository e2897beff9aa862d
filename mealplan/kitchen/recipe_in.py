"""
A schema.org Recipe read as the draft of a dish of one's own.

Its lines are matched to kitchen foods, what is unsure is asked, and its steps stay text: such a
dish is marked unproven, and everything dried is boiled before it begins. JSON-LD comes from a file
or is pasted; nothing is fetched.
"""

from __future__ import annotations

import html
import json
import re
from collections.abc import Iterator
from typing import Any

from foods.composition.catalogue import Catalogue
from foods.dishes.model import OCCASIONS
from foods.registry.errors import FoodError
from mealplan.kitchen.ingredient import MatchedLine, match_line
from mealplan.kitchen.recipe_draft import RecipeDraft
from mealplan.kitchen.recipe_out import OCCASION_WORDS

MOST_TEXT = 400_000
"""Longest JSON that is read. [characters]"""
DEEPEST = 30
MOST_LINES = 40
LONGEST_STEP = 800
MOST_STEPS = 30
_DURATION = re.compile(r"^P(?:(\d{1,3})D)?(?:T(?:(\d{1,4})H)?(?:(\d{1,5})M)?(?:\d{1,6}S)?)?$")
_SCRIPT = re.compile(r"<script[^<>]{0,500}>", re.IGNORECASE)
_SCRIPT_END = re.compile(r"</script>", re.IGNORECASE)


def read_recipe(text: str, catalogue: Catalogue, where: str = "the recipe") -> RecipeDraft:
    """
    Read a schema.org Recipe.

    Parameters
    ----------
    text : str
        JSON-LD, or a saved page that holds it.
    catalogue : Catalogue
        Foods its lines may mean.
    where : str
        Name used in messages.

    Returns
    -------
    RecipeDraft

    Raises
    ------
    FoodError
        When it is no JSON, or holds no recipe; the message says what to do.
    """
    recipe = _find(_parsed(text, where), where)
    name = _plain(recipe.get("name"))[:60]
    if len(name) < 3:
        raise FoodError(f"{where}: the recipe has no name; give it one")
    ingredients = _texts(recipe.get("recipeIngredient") or recipe.get("ingredients"))
    if not ingredients:
        raise FoodError(f"{where}: {name} lists no ingredients (recipeIngredient)")
    if len(ingredients) > MOST_LINES:
        raise FoodError(f"{where}: {name} has {len(ingredients)} lines, {MOST_LINES} at most")
    portions, notes = _portions(recipe.get("recipeYield"))
    total = _minutes(recipe.get("totalTime"))
    prep, cook = _minutes(recipe.get("prepTime")), _minutes(recipe.get("cookTime"))
    total = total or prep + cook
    hands = min(prep or total, total, 120)
    steps = _steps(recipe.get("recipeInstructions"))
    cuisine = _plain(recipe.get("recipeCuisine"))[:40]
    return RecipeDraft(
        name,
        cuisine or "home",
        _occasions(recipe.get("recipeCategory")),
        portions,
        _merged([match_line(line, catalogue) for line in ingredients]),
        steps,
        hands,
        min(total, 600),
        _tools(recipe.get("tool"), steps),
        notes,
    )


def _linked_data(text: str) -> Iterator[str]:
    """Give what stands in a page's scripts of linked data; each letter is passed over once."""
    at = 0
    while head := _SCRIPT.search(text, at):
        end = _SCRIPT_END.search(text, head.end())
        if end is None:
            return
        if "ld+json" in head[0].lower():
            yield text[head.end() : end.start()]
        at = end.end()


def _parsed(text: str, where: str) -> Any:
    """Read JSON, or the JSON inside a saved page."""
    if len(text) > MOST_TEXT:
        raise FoodError(f"{where} has {len(text):,} characters, more than {MOST_TEXT:,}")
    blocks = list(_linked_data(text)) or [text]
    found: list[Any] = []
    for block in blocks:
        try:
            found.append(json.loads(block))
        except (ValueError, RecursionError):
            continue
    if not found:
        raise FoodError(
            f"{where} is no JSON: save the recipe's JSON-LD (the part that begins with "
            '{"@context": "https://schema.org") and try again'
        )
    return found


def _nodes(value: Any, depth: int = 0) -> Iterator[dict[str, Any]]:
    """Go through every object of a document."""
    if depth > DEEPEST:
        return
    if isinstance(value, dict):
        yield value
        for inner in value.values():
            yield from _nodes(inner, depth + 1)
    elif isinstance(value, list):
        for inner in value:
            yield from _nodes(inner, depth + 1)


def _find(document: Any, where: str) -> dict[str, Any]:
    for node in _nodes(document):
        kinds = _texts(node.get("@type"))
        if any(kind.rpartition("/")[2] == "Recipe" for kind in kinds):
            return node
    raise FoodError(f'{where} holds no schema.org Recipe: no object says "@type": "Recipe"')


def _plain(value: Any) -> str:
    """Give the first text of a field, without tags and doubled spaces."""
    texts = _texts(value)
    return texts[0] if texts else ""


def _texts(value: Any) -> list[str]:
    """Give the texts of a field that may hold one, many, or objects with a name."""
    if isinstance(value, str):
        bare = re.sub(r"<[^<>]{0,200}>", " ", html.unescape(value))
        text = " ".join(bare.split())
        return [text] if text else []
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return [f"{value:g}"]
    if isinstance(value, list):
        return [text for item in value for text in _texts(item)]
    if isinstance(value, dict):
        return _texts(value.get("text") or value.get("name"))
    return []


def _portions(value: Any) -> tuple[int, tuple[str, ...]]:
    for text in _texts(value):
        found = re.search(r"\d{1,3}", text)
        if found and 1 <= int(found[0]) <= 100:
            return int(found[0]), ()
    return 4, ("the recipe does not say for how many it is: taken for 4 portions",)


def _minutes(value: Any) -> int:
    found = _DURATION.match(_plain(value).upper())
    if not found:
        return 0
    days, hours, minutes = (int(part or 0) for part in found.groups())
    return min(days * 1440 + hours * 60 + minutes, 100_000)


def _steps(value: Any) -> tuple[str, ...]:
    """Give the steps as sentences, sections opened."""
    texts: list[str] = []
    for item in value if isinstance(value, list) else [value]:
        if isinstance(item, dict) and item.get("itemListElement"):
            texts += _steps(item["itemListElement"])
        else:
            texts += _texts(item)
    parts = [part for text in texts for part in _parts(text)][:MOST_STEPS]
    return tuple(part if part.endswith(".") else f"{part.rstrip(' ;,!')}." for part in parts)


def _parts(text: str) -> Iterator[str]:
    """Break a long step at its sentences."""
    while len(text) > LONGEST_STEP - 1:
        cut = text.rfind(". ", 0, LONGEST_STEP - 1)
        cut = cut if cut > 0 else LONGEST_STEP - 2
        yield text[: cut + 1].strip()
        text = text[cut + 1 :].strip()
    if text:
        yield text


def _occasions(value: Any) -> tuple[str, ...]:
    said = " ".join(_texts(value)).lower()
    found = [occasion for occasion in OCCASIONS if OCCASION_WORDS[occasion] in said]
    return tuple(found) or ("midday", "evening")


_TOOL_WORDS = {
    "oven": r"\boven\b|\bbake\b|\broast", "blender": r"\bblend", "grill": r"\bgrill",
    "microwave": r"\bmicrowave", "pressure cooker": r"\bpressure cooker",
    "hob": r"\b(?:pan|pot|saucepan|skillet|wok|simmer|boil|fry|saut)",
}  # fmt: skip


def _tools(value: Any, steps: tuple[str, ...]) -> tuple[str, ...]:
    """Name what it needs to heat or cut with: as it says, else by its words, to be looked at."""
    said = [text for text in _texts(value) if text in {*_TOOL_WORDS, "kettle"}]
    text = " ".join(steps).lower()
    found = said or [tool for tool, words in _TOOL_WORDS.items() if re.search(words, text)]
    return tuple(found) or ("none",)


def _merged(lines: list[MatchedLine]) -> tuple[MatchedLine, ...]:
    """Add up lines of one food: a dish holds each once."""
    found: dict[str, MatchedLine] = {}
    for place, line in enumerate(lines):
        key = line.food or f"open {place}"
        before = found.get(key)
        if before is None:
            found[key] = line
            continue
        grams = None
        if before.grams is not None and line.grams is not None:
            grams = before.grams + line.grams
        found[key] = MatchedLine(
            f"{before.text} + {line.text}",
            line.food,
            before.called,
            grams,
            before.optional and line.optional,
            before.question or line.question,
            before.choices,
        )
    return tuple(found.values())
