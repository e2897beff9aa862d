"""
Foods and dishes of one's own on their way through the chain.

An intake holds what may be planned with, a plan what it was made from, so that either can be read
back alone and every gram has its source. Whoever has one of them asks here for its foods and
dishes; where both are given the plan's come first, for they are what its numbers rest on.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from foods.composition.catalogue import Catalogue
from foods.composition.unlisted.amino_acids import AMINO_ACID_PAIRS, AMINO_ACIDS
from foods.custom.as_catalogue import catalogue_with, missing_of
from foods.custom.food import OwnFood, reference_name
from foods.dishes.load import beside_shipped
from foods.dishes.model import Dish
from foods.registry.nutrients import nutrient

if TYPE_CHECKING:
    from collections.abc import Iterable

    from mealplan.client.intake import Intake


class HoldsOwn(Protocol):
    """An intake or a plan."""

    @property
    def own_foods(self) -> tuple[OwnFood, ...]: ...  # noqa: D102
    @property
    def own_dishes(self) -> tuple[Dish, ...]: ...  # noqa: D102


def catalogue_of(*holders: HoldsOwn) -> Catalogue:
    """
    Give the foods that are known to an intake, a plan or both.

    Parameters
    ----------
    *holders : Intake or Plan
        Of two foods with one key the first counts.

    Returns
    -------
    Catalogue
        Those that ship, then their own; the same object for the same foods.
    """
    found: dict[str, OwnFood] = {}
    for holder in holders:
        for food in holder.own_foods:
            found.setdefault(food.key, food)
    return catalogue_with(found.values())


def dishes_of(*holders: HoldsOwn) -> tuple[Dish, ...]:
    """
    Give the dishes that are known to an intake, a plan or both.

    Parameters
    ----------
    *holders : Intake or Plan
        Of two dishes with one key the first counts.

    Returns
    -------
    tuple of Dish
        Those that ship and their own, sorted by key.
    """
    found: dict[str, Dish] = {}
    for holder in holders:
        for dish in holder.own_dishes:
            found.setdefault(dish.key, dish)
    return beside_shipped(found.values())


def with_own_of(plan: HoldsOwn, intake: Intake) -> Intake:
    """
    Let an intake know the foods and dishes a plan was made from as well.

    Parameters
    ----------
    plan : Plan
        Its foods and dishes come first.
    intake : Intake

    Returns
    -------
    Intake
        The same one when the plan has none.
    """
    if not plan.own_foods and not plan.own_dishes:
        return intake
    foods = {food.key: food for food in (*intake.own_foods, *plan.own_foods)}
    dishes = {dish.key: dish for dish in (*intake.own_dishes, *plan.own_dishes)}
    return intake.model_copy(
        update={"own_foods": tuple(foods.values()), "own_dishes": tuple(dishes.values())}
    )


MOST_MISSING_NAMED = 12
"""Nutrients named one by one before the rest are counted."""


def mid_sentence(label: str) -> str:
    """
    Write a nutrient's label inside a sentence.

    Parameters
    ----------
    label : str

    Returns
    -------
    str
        Without its capital, save for names such as EPA.
    """
    return label if label[1:2].isupper() else label[:1].lower() + label[1:]


def label_sentences(foods: Iterable[OwnFood], wanted: Iterable[str]) -> tuple[str, ...]:
    """
    Say of each food from a package where its numbers come from and what they leave open.

    Parameters
    ----------
    foods : iterable of OwnFood
    wanted : iterable of str
        Nutrient keys that a plan counts.

    Returns
    -------
    tuple of str
        One a food.
    """
    wanted = tuple(wanted)
    acids = {*AMINO_ACIDS, *AMINO_ACID_PAIRS}
    said = []
    for food in foods:
        text = f"{food.name}: {food.source}."
        lacking = missing_of(food, wanted)
        missing = ["amino acids"] if acids & set(lacking) else []
        missing += [mid_sentence(nutrient(key).label) for key in lacking if key not in acids]
        if missing:
            named = ", ".join(missing[:MOST_MISSING_NAMED])
            more = len(missing) - MOST_MISSING_NAMED
            text += (
                f" Not declared, and counted as nothing: {named}"
                f"{f' and {more} more' if more > 0 else ''}."
            )
        if food.amino_acids_like:
            text += f" Amino acids are imputed from {reference_name(food)}, shown and not counted."
        said.append(text)
    return tuple(said)
