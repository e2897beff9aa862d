"""
A larder: the foods a kitchen buys again and again, and the dishes that need nothing else.

Each thing in it may be any of several forms of one food, since a shelf that has chickpeas has them
canned or dried. Add-ons may be missing; what a dish must have may not.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from importlib.resources import files

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from foods.composition.catalogue import Catalogue
from foods.dishes.model import Dish
from foods.registry.errors import FoodError

ALWAYS_THERE = frozenset({"water"})


class Thing(BaseModel):
    """One thing to keep in: a name and the forms of it that will do."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str = Field(min_length=2, max_length=40)
    forms: tuple[str, ...] = Field(min_length=1)
    """Catalogue keys."""


class Larder(BaseModel):
    """What a kitchen holds: foods, and seasonings that are bought seldom."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    food: tuple[Thing, ...] = Field(min_length=1)
    seasoning: tuple[Thing, ...] = ()

    @property
    def keys(self) -> frozenset[str]:
        """Catalogue keys of every form of everything in it."""
        return frozenset(key for thing in (*self.food, *self.seasoning) for key in thing.forms)


def read_larder(text: str, where: str = "larder") -> Larder:
    """
    Read a larder from TOML text.

    Parameters
    ----------
    text : str
        ``[[food]]`` and ``[[seasoning]]`` tables with a name and forms.
    where : str
        Name used in messages, usually the file name.

    Returns
    -------
    Larder

    Raises
    ------
    FoodError
        When it is not such a file or names a food that is not in the catalogue.
    """
    try:
        larder = Larder.model_validate(tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        raise FoodError(f"{where} is not valid TOML: {error}. Mend that line.") from None
    except ValidationError as error:
        first = error.errors()[0]
        place = ".".join(str(part) for part in first["loc"])
        raise FoodError(
            f"{where}: {place}: {first['msg']}; `mealplan example larder` prints one to start from"
        ) from None
    for key in sorted(larder.keys):
        if Catalogue.load().food(key).key != key:
            raise FoodError(f"{where}: write the food by its key instead of {key!r}")
    return larder


def larder_text() -> str:
    """
    Give the larder that ships, as TOML text.

    Returns
    -------
    str
    """
    return files("foods").joinpath("data", "larder.toml").read_text(encoding="utf-8")


def cookable(larder: Larder, dishes: Iterable[Dish]) -> tuple[Dish, ...]:
    """
    Choose the dishes that need nothing a larder lacks.

    Parameters
    ----------
    larder : Larder
    dishes : iterable of Dish

    Returns
    -------
    tuple of Dish
        In their order.
    """
    held = larder.keys | ALWAYS_THERE
    return tuple(
        dish for dish in dishes if all(line.optional or line.food in held for line in dish.lines)
    )
