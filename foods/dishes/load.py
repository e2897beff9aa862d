"""
Dishes from files: those that ship, and those of one's own beside them.

A dish whose steps cannot be proven does not load; the message says which food lacks what.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files

from pydantic import ValidationError

from foods.composition.catalogue import Catalogue
from foods.dishes.actions import table
from foods.dishes.check import safety_faults
from foods.dishes.model import Dish
from foods.dishes.seal import sealed
from foods.registry.errors import FoodError
from foods.registry.typed import check_toml

COOKED_DAYS = 3
"""
Days that cooked food keeps in the fridge, the shorter end (published: USDA Food Safety and
Inspection Service, Leftovers and Food Safety, 3 to 4 days).
"""


def parse_dishes(text: str, where: str = "dishes") -> tuple[Dish, ...]:
    """
    Read dishes from TOML text with one ``[[dish]]`` table each.

    Parameters
    ----------
    text : str
        TOML document.
    where : str
        Name used in messages, usually the file name.

    Returns
    -------
    tuple of Dish
        In file order.

    Raises
    ------
    FoodError
        When the text is not TOML or a dish breaks a rule; the message names dish, field and fix.
    """
    check_toml(text, where)
    try:
        document = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise FoodError(
            f"{where} is not valid TOML: {error}. Mend that line and load it again."
        ) from None
    dishes = []
    for number, entry in enumerate(document.get("dish", []), start=1):
        label = entry.get("key", f"number {number}")
        try:
            dishes.append(Dish.model_validate(entry))
        except ValidationError as error:
            first = error.errors()[0]
            place = ".".join(str(part) for part in first["loc"])
            raise FoodError(
                f"{where}: dish {label}{', ' + place if place else ''}:"
                f" {first['msg'].removeprefix('Value error, ')}"
            ) from None
    return tuple(dishes)


@cache
def load_dishes() -> tuple[Dish, ...]:
    """
    Load every dish that ships with the package, sorted by key.

    Returns
    -------
    tuple of Dish
        Keys are unique across files; each was proven, now or for the seal of the release.

    Raises
    ------
    FoodError
        When a shipped file is damaged or two dishes share a key.
    """
    return sealed() or prove_dishes()


def prove_dishes() -> tuple[Dish, ...]:
    """
    Read every dish that ships from its file and prove it.

    Returns
    -------
    tuple of Dish
        Sorted by key.

    Raises
    ------
    FoodError
        When a shipped file is damaged, a dish cannot be proven, or two dishes share a key.
    """
    folder = files("foods") / "data" / "dishes"
    found: dict[str, Dish] = {}
    for entry in sorted(folder.iterdir(), key=lambda item: item.name):
        if not entry.name.endswith(".toml"):
            continue
        for dish in parse_dishes(entry.read_text(encoding="utf-8"), entry.name):
            _prove(dish, Catalogue.load(), entry.name)
            if dish.key in found:
                raise FoodError(f"{entry.name}: dish key {dish.key!r} is used twice; rename one")
            found[dish.key] = dish
    return tuple(found[key] for key in sorted(found))


@cache
def former_keys() -> Mapping[str, str]:
    """
    Give the keys dishes once had, so that stored plans, logs and favourites still open.

    Returns
    -------
    mapping of str to str
        Former key to the key of the dish that stands for it now.
    """
    return {row["former"]: row["now"] for row in table("dish_aliases.csv")}


def dishes_by_key(dishes: Iterable[Dish]) -> dict[str, Dish]:
    """
    Index dishes by their keys, those they once had included.

    Parameters
    ----------
    dishes : iterable of Dish

    Returns
    -------
    dict of str to Dish
    """
    found = {dish.key: dish for dish in dishes}
    former = {old: found[now] for old, now in former_keys().items() if now in found}
    return former | found


def own_dishes(
    text: str, where: str = "own dishes", catalogue: Catalogue | None = None
) -> tuple[Dish, ...]:
    """
    Read a cook's own dishes.

    Parameters
    ----------
    text : str
        TOML as :func:`parse_dishes` reads it.
    where : str
        Name used in messages, usually the file name.
    catalogue : Catalogue, optional
        Foods the dishes may use; those that ship when left out.

    Returns
    -------
    tuple of Dish
        In file order, each usable beside those that ship.

    Raises
    ------
    FoodError
        When the text is no dish file, a food is not in the catalogue, an amount passes the food's
        daily ceiling, or a key is taken.
    """
    own = parse_dishes(text, where)
    if not own:
        raise FoodError(
            f"{where} holds no [[dish]] table; copy one from foods/data/dishes to start"
        )
    keys = {dish.key for dish in load_dishes()}
    for dish in own:
        if dish.key in keys:
            raise FoodError(f"{where}: dish key {dish.key!r} is taken; choose another")
        keys.add(dish.key)
    check_lines(own, catalogue or Catalogue.load(), where)
    return own


def _prove(dish: Dish, catalogue: Catalogue, where: str) -> None:
    """Refuse a dish with steps that cannot be proven."""
    faults = safety_faults(dish, catalogue) if dish.steps else []
    if faults:
        more = f" (and {len(faults) - 1} more)" if len(faults) > 1 else ""
        raise FoodError(f"{where}: dish {dish.key}: {faults[0]}{more}")


def _check_keeping(dish: Dish, catalogue: Catalogue, where: str) -> None:
    """Refuse more days than cooked food keeps, unless it freezes or each food keeps as long."""
    if dish.freezes or dish.keeps_days <= COOKED_DAYS:
        return
    for line in dish.lines:
        days = catalogue.food(line.food).fridge_days if line.food in catalogue else 0
        if line.eaten == "cooked" or (days is not None and days < dish.keeps_days):
            raise FoodError(
                f"{where}: dish {dish.key}: {line.called} does not keep {dish.keeps_days} days; "
                f"lower keeps_days to {COOKED_DAYS} or less, or say that the dish freezes"
            )


def check_lines(dishes: Iterable[Dish], catalogue: Catalogue, where: str = "own dishes") -> None:
    """
    Hold the lines of dishes against the foods there are.

    Parameters
    ----------
    dishes : iterable of Dish
    catalogue : Catalogue
    where : str
        Name used in messages.

    Raises
    ------
    FoodError
        A food is unknown or written by another name, an amount passes its daily ceiling, or the
        steps cannot be proven; plain sentences are taken as they are, marked unproven.
    """
    for dish in dishes:
        _check_keeping(dish, catalogue, where)
        for line in dish.lines:
            try:
                food = catalogue.food(line.food)
            except FoodError as error:
                raise FoodError(f"{where}: dish {dish.key}: {error}") from None
            if food.key != line.food:
                raise FoodError(
                    f"{where}: dish {dish.key}: write the food by its key, {food.key!r}, "
                    f"instead of {line.food!r}"
                )
            if line.high_g > food.max_g_day:
                raise FoodError(
                    f"{where}: dish {dish.key}: {line.high_g:g} g of {line.food} passes the most a "
                    f"person is given in a day, {food.max_g_day:g} g; lower the third amount"
                )
        _prove(dish, catalogue, where)


def beside_shipped(own: Iterable[Dish]) -> tuple[Dish, ...]:
    """
    Put dishes of one's own among those that ship.

    Parameters
    ----------
    own : iterable of Dish
        One with the key of a dish that ships takes its place; in plain sentences, what shares a
        sentence with other food is part of it.

    Returns
    -------
    tuple of Dish
        Sorted by key.
    """
    dishes = {dish.key: dish for dish in (*load_dishes(), *(dish.whole() for dish in own))}
    return tuple(dishes[key] for key in sorted(dishes))
