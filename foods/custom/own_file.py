"""Foods of one's own from a file: read, refused in one line, checked beside what is known."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence

from pydantic import (
    ValidationError,
)

from foods.composition.catalogue import Catalogue
from foods.custom.food import OwnFood
from foods.registry.errors import FoodError
from foods.registry.typed import check_toml


def parse_own_foods(text: str, where: str = "own foods") -> tuple[OwnFood, ...]:
    """
    Read foods of one's own from TOML text with one ``[[food]]`` table each.

    Parameters
    ----------
    text : str
        TOML document.
    where : str
        Name used in messages, usually the file name.

    Returns
    -------
    tuple of OwnFood
        In file order.

    Raises
    ------
    FoodError
        When the text is not TOML, or a food cannot be or leaves a question open.
    """
    check_toml(text, where)
    try:
        document = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise FoodError(
            f"{where} is not valid TOML: {error}. Mend that line and load it again."
        ) from None
    tables = document.get("food")
    if not isinstance(tables, list) or not tables:
        raise FoodError(
            f"{where} holds no [[food]] table; `mealplan example foods` prints one to start from"
        )
    found = []
    for number, table in enumerate(tables, start=1):
        label = table.get("name", f"number {number}") if isinstance(table, dict) else number
        try:
            found.append(OwnFood.model_validate(table))
        except ValidationError as error:
            said = plain_fault(error)
            who = "" if said.startswith(f"{label}: ") else f"food {label}: "
            raise FoodError(f"{where}: {who}{said}") from None
    check_new(found, where)
    return tuple(found)


def check_new(foods: Sequence[OwnFood], where: str = "own foods") -> None:
    """
    Refuse foods that could not be told apart.

    Parameters
    ----------
    foods : sequence of OwnFood
        All foods of one's own that are in use together.
    where : str
        Name used in messages.

    Raises
    ------
    FoodError
        Two share a key or a name, or one is called as a food that ships.
    """
    shipped = {food.name.casefold() for food in Catalogue.load()}
    seen: set[str] = set()
    keys: set[str] = set()
    for food in foods:
        name = food.name.casefold()
        if name in shipped:
            raise FoodError(
                f"{where}: {food.name!r} is already the name of a food here; add a word to yours, "
                "such as what sets it apart"
            )
        if food.key in keys or name in seen:
            raise FoodError(f"{where}: two foods are called {food.name!r}; give one another name")
        seen.add(name)
        keys.add(food.key)


def plain_fault(error: ValidationError) -> str:
    """
    Say the first thing a food or dish was refused for, in one line.

    Parameters
    ----------
    error : ValidationError

    Returns
    -------
    str
        The field, what was given and how to mend it.
    """
    first = error.errors()[0]
    place = ".".join(str(part) for part in first["loc"])
    said = first["msg"].removeprefix("Value error, ")
    if first["type"] == "missing":
        return f"{place} is missing; copy it from the package"
    if first["type"] == "extra_forbidden":
        return f"{place} is no field of a food; see the example for those there are"
    if first["type"] == "value_error":
        return f"{place + ': ' if place and not said.startswith(place) else ''}{said}"
    return f"{place}={str(first['input'])[:40]!r}: {said[:1].lower() + said[1:]}"
