"""
Dishes: what a cook can make from catalogue foods, with ranges instead of one fixed recipe.

A dish lives in a TOML file under ``foods/data/dishes/``, one file a cooking tradition. It says
which meals it suits, how much of each food a portion may hold, how it is made and how long it
keeps. It knows nothing of a person: portions are chosen elsewhere, inside these ranges.
"""

from __future__ import annotations

import tomllib
from collections.abc import Collection, Iterable
from functools import cache
from importlib.resources import files
from typing import Annotated, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, ValidationError, field_validator, model_validator

from foods.catalogue import Catalogue
from foods.dishes.steps import without
from foods.registry.errors import FoodError
from foods.registry.typed import check_toml

Occasion = Literal["breakfast", "midday", "evening", "small"]
"""Meals of the day a dish can suit; ``small`` is a meal between the main ones."""

OCCASIONS: tuple[Occasion, ...] = ("breakfast", "midday", "evening", "small")

Equipment = Literal[
    "hob", "oven", "blender", "pressure cooker", "grill", "kettle", "microwave", "none"
]


class DishLine(BaseModel):
    """One food of a dish: how little, how much usually, and how much at most a portion holds."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    food: str = Field(max_length=80)
    """Catalogue key, in the state it is weighed (cooked pulses and grains, raw onion)."""
    called: str = Field(max_length=80)
    """The words the method uses for it."""
    g: tuple[float, float, float]
    """Low, typical and high amount in one portion [g]."""
    optional: bool = False
    """True when the dish is still the dish without it: nothing, or between low and high."""

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        low, typical, high = self.g
        if not 0 < low <= typical <= high:
            raise ValueError(
                f"{self.food}: g={list(self.g)} must rise from low over typical to high, all above"
                " 0; an add-on that may be left out says optional = true instead of low 0"
            )
        return self

    @property
    def low_g(self) -> float:
        """Least amount when served [g]."""
        return self.g[0]

    @property
    def typical_g(self) -> float:
        """Usual amount [g]."""
        return self.g[1]

    @property
    def high_g(self) -> float:
        """Most that still makes the same dish [g]."""
        return self.g[2]


class Ratio(BaseModel):
    """Bounds on grams of one food per gram of another, where cooking depends on it."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    food: str
    to: str
    low: float = Field(ge=0)
    high: float = Field(gt=0)

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        if self.low > self.high:
            raise ValueError(
                f"ratio {self.food}/{self.to}: low {self.low} is above high {self.high}"
            )
        return self


class Dish(BaseModel):
    """
    One dish with the ranges, method and keeping facts a planner and a cook need.

    Amounts are grams in one portion; minutes are for one batch of ``batch_portions``.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    key: str = Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=80)
    name: str = Field(min_length=3, max_length=60)
    tradition: str = Field(max_length=40)
    occasions: tuple[Occasion, ...] = Field(min_length=1)
    lines: tuple[DishLine, ...] = Field(min_length=2, max_length=40)
    ratios: tuple[Ratio, ...] = Field(default=(), max_length=40)
    method: tuple[Annotated[str, Field(max_length=800)], ...] = Field(min_length=1, max_length=30)
    """Plain steps in order; every food's ``called`` words appear in them."""
    hands_on_min: int = Field(ge=1, le=90)
    total_min: int = Field(ge=1, le=600)
    soak_night_before: bool = False
    keeps_days: int = Field(ge=0, le=5)
    """Whole days it keeps refrigerated after the day it is cooked; 0 is eat at once [days]."""
    freezes: bool = False
    cooks_from_dry: tuple[str, ...] = ()
    """Foods the method itself takes from dry to done; all others it finds boiled already."""
    batch_portions: int = Field(ge=1, le=8)
    """Most portions one cooking makes sensibly."""
    equipment: tuple[Equipment, ...] = Field(min_length=1)
    training: Literal["any", "before", "after", "away from training"] = "any"
    portable: bool = False
    heat: int = Field(ge=0, le=3, default=0)
    """Chilli heat: 0 none, 1 mild, 2 hot, 3 very hot."""
    texture: Literal["soft", "crisp", "chewy", "soupy", "creamy", "mixed"] = "mixed"
    protein_base: str = ""
    """What carries the protein, for variety (lentils, tofu, beans, ...)."""
    cautions: tuple[Annotated[str, Field(max_length=400)], ...] = Field(default=(), max_length=12)

    def steps(self, served: Collection[str]) -> tuple[str, ...]:
        """
        Give the method without anything that speaks of foods not served.

        Parameters
        ----------
        served : collection of str
            Catalogue keys.

        Returns
        -------
        tuple of str
            No food of the dish that is not served is named in them.
        """
        called = [line.called for line in self.lines]
        out = {line.called for line in self.lines if line.food not in served}
        kept = [without(step, out, called) for step in self.method]
        return tuple(step for step in kept if step)

    @field_validator("method")
    @classmethod
    def _steps_are_sentences(cls, steps: tuple[str, ...]) -> tuple[str, ...]:
        for step in steps:
            if not step.strip().endswith("."):
                raise ValueError(f"method step {step!r} should be a sentence ending in a full stop")
        return steps

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        foods = [line.food for line in self.lines]
        doubled = sorted({food for food in foods if foods.count(food) > 1})
        if doubled:
            raise ValueError(f"{self.key}: {', '.join(doubled)} appears twice; merge the lines")
        for ratio in self.ratios:
            for food in (ratio.food, ratio.to):
                if food not in foods:
                    raise ValueError(f"{self.key}: ratio names {food}, which is not a line")
        for food in self.cooks_from_dry:
            if food not in foods:
                raise ValueError(f"{self.key}: cooks_from_dry names {food}, which is not a line")
        text = " ".join(self.method).lower()
        unnamed = [line.called for line in self.lines if line.called.lower() not in text]
        if unnamed:
            raise ValueError(f"{self.key}: the method never mentions {', '.join(unnamed)}")
        if self.total_min < self.hands_on_min:
            raise ValueError(f"{self.key}: total_min is below hands_on_min")
        return self


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
    for number, table in enumerate(document.get("dish", []), start=1):
        label = table.get("key", f"number {number}")
        try:
            dishes.append(Dish.model_validate(table))
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
        Keys are unique across files.

    Raises
    ------
    FoodError
        When a shipped file is damaged or two dishes share a key.
    """
    folder = files("foods") / "data" / "dishes"
    found: dict[str, Dish] = {}
    for entry in sorted(folder.iterdir(), key=lambda item: item.name):
        if not entry.name.endswith(".toml"):
            continue
        for dish in parse_dishes(entry.read_text(encoding="utf-8"), entry.name):
            if dish.key in found:
                raise FoodError(f"{entry.name}: dish key {dish.key!r} is used twice; rename one")
            found[dish.key] = dish
    return tuple(found[key] for key in sorted(found))


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
        A food is unknown or written by another name, or an amount passes its daily ceiling.
    """
    for dish in dishes:
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


def beside_shipped(own: Iterable[Dish]) -> tuple[Dish, ...]:
    """
    Put dishes of one's own among those that ship.

    Parameters
    ----------
    own : iterable of Dish
        One with the key of a dish that ships takes its place.

    Returns
    -------
    tuple of Dish
        Sorted by key.
    """
    dishes = {dish.key: dish for dish in (*load_dishes(), *own)}
    return tuple(dishes[key] for key in sorted(dishes))
