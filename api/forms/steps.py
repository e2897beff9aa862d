"""Steps of a dish typed as data: one a line, as the kitchen's own files write them."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Collection, Mapping
from typing import Any

from pydantic import ValidationError

from foods.composition.catalogue import Catalogue
from foods.dishes.actions import HOT, Action
from foods.dishes.line import DishLine
from foods.dishes.model import Dish
from foods.dishes.walk import MINOR, walk
from foods.registry.errors import FoodError
from foods.registry.typed import check_toml

MOST_STEPS = 40
SOFT = frozenset({"warm", "toast"})
"""Heats that make nothing cooked of what is raw."""


def steps_text(dish: Dish) -> str:
    """
    Write the steps of a dish for its form.

    Parameters
    ----------
    dish : Dish

    Returns
    -------
    str
        One a line; empty for a dish in plain sentences.
    """
    return "\n".join(_line(step) for step in dish.steps)


def _line(step: Action) -> str:
    data = step.model_dump(mode="json", by_alias=True, exclude_defaults=True)
    if "part" in data:
        inner = ", ".join(f"{json.dumps(name)} = {share:g}" for name, share in data.pop("part"))
        said = f"part = {{{inner}}}"
    else:
        said = ""
    parts = [f"{key} = {json.dumps(value, ensure_ascii=False)}" for key, value in data.items()]
    return ", ".join([*parts, said] if said else parts)


def read_steps(text: str) -> tuple[Action, ...]:
    """
    Read steps as they were typed.

    Parameters
    ----------
    text : str
        One a line, such as ``do = "simmer", take = ["beans"], in = "pot", min = 15``.

    Returns
    -------
    tuple of Action

    Raises
    ------
    FoodError
        With the number of the step that cannot be read, and how to write it.
    """
    lines = [line.strip().rstrip(",") for line in text.splitlines() if line.strip()]
    if len(lines) > MOST_STEPS:
        raise FoodError(f"{len(lines)} steps: {MOST_STEPS} at most")
    steps = []
    for number, line in enumerate(lines, start=1):
        bare = line.removeprefix("{").removesuffix("}") if line.startswith("{") else line
        where = f"step {number}"
        check_toml(bare, where)
        try:
            steps.append(Action.model_validate(tomllib.loads(f"step = {{{bare}}}")["step"]))
        except (tomllib.TOMLDecodeError, RecursionError):
            raise FoodError(
                f'{where} cannot be read: write it as do = "simmer", take = ["beans"], in = "pot", '
                "min = 15"
            ) from None
        except ValidationError as error:
            first = error.errors()[0]
            field = ".".join(str(part) for part in first["loc"])
            said = first["msg"].removeprefix("Value error, ")
            raise FoodError(f"{where}{f', {field}' if field else ''}: {said}") from None
    return tuple(steps)


def with_states(
    lines: Collection[Mapping[str, Any]], steps: Collection[Action], catalogue: Catalogue
) -> tuple[dict[str, Any], ...]:
    """
    Say of each line how it is eaten, from what the steps do with it.

    Parameters
    ----------
    lines : collection of mapping
        Data of lines.
    steps : collection of Action
    catalogue : Catalogue

    Returns
    -------
    tuple of dict
        What a step heats is eaten cooked, fruit and vegetables else raw; the proof then asks
        whether that heat is enough.
    """
    typed = [DishLine.model_validate(line) for line in lines]
    heated = {
        name
        for moment in walk(typed, tuple(steps))
        if moment.way in HOT - SOFT
        for name in moment.holds
    }
    found = []
    for line in lines:
        food = catalogue.food(line["food"])
        eaten = "as is"
        if food.role not in MINOR and food.role != "topping":
            eaten = "raw" if food.role in ("vegetable", "fruit") else "as is"
            eaten = "cooked" if line["called"] in heated else eaten
        found.append({**line, "eaten": eaten})
    return tuple(found)
