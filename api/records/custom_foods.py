"""
A coach's own foods and dishes: kept, amended, withdrawn, and put beside each client's intake.

They are kept once for a coach and offered to all of their clients, because a label is a fact about
a product, not about a person: typed once it serves everyone, and each client's allergies and tastes
decide what reaches the plate. A plan takes along what it serves, so it stands when something is
amended or withdrawn later.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeVar

from pydantic import BaseModel, ValidationError

from api.records.book import Records
from api.records.reading import intake_of
from api.records.set_aside import OnTheShelf, own_set_aside
from foods.composition.catalogue import Catalogue
from foods.custom.as_catalogue import catalogue_with
from foods.custom.food import OwnFood
from foods.dishes.model import Dish
from foods.registry.errors import FoodError
from mealplan.client.intake import Intake
from mealplan.kitchen.custom_foods import catalogue_of, dishes_of
from mealplan.store.base import NotThere, Reader
from mealplan.store.documents import OWN_DISH, OWN_FOOD, Unreadable
from mealplan.store.records import OwnKind, OwnVersion


@dataclass(frozen=True)
class Pantry:
    """What a coach offers beside what ships."""

    foods: tuple[OwnFood, ...] = ()
    dishes: tuple[Dish, ...] = ()

    @property
    def catalogue(self) -> Catalogue:
        """Foods that ship and the coach's own."""
        return catalogue_with(self.foods)


M = TypeVar("M", bound=BaseModel)


@lru_cache(maxsize=512)
def _food(body: str) -> OwnFood:
    return OWN_FOOD.read(body)


@lru_cache(maxsize=512)
def _dish(body: str) -> Dish:
    return OWN_DISH.read(body)


def latest(records: Records, unit: Reader, kind: OwnKind) -> dict[str, OwnVersion]:
    """
    Give the last version of each of a coach's foods or dishes, withdrawn ones included.

    Parameters
    ----------
    records : Records
        What this sign-in may see and change.
    unit : Reader
        The reading or writing under way.
    kind : OwnKind
        What it is.
    """
    found: dict[str, OwnVersion] = {}
    for version in unit.find(OwnVersion, coach_id=records.principal.coach_id, what=kind):
        if version.key not in found or version.number > found[version.key].number:
            found[version.key] = version
    return found


def _reads(version: OwnVersion) -> bool:
    try:
        (_food if version.what == "food" else _dish)(version.body)
    except Unreadable:
        return False
    return True


def versions(records: Records, kind: OwnKind) -> tuple[OwnVersion, ...]:
    """
    List what is in force; what cannot be read is set aside, see :func:`own_set_aside`.

    Parameters
    ----------
    records : Records
    kind : {"food", "dish"}

    Returns
    -------
    tuple of OwnVersion
        By key.
    """
    with records.store.reading() as unit:
        found = latest(records, unit, kind)
    return tuple(found[key] for key in sorted(found) if found[key].body and _reads(found[key]))


def history(records: Records, kind: OwnKind, key: str) -> tuple[OwnVersion, ...]:
    """
    List every version of one food or dish.

    Parameters
    ----------
    records : Records
    kind : {"food", "dish"}
    key : str

    Returns
    -------
    tuple of OwnVersion
        Newest first.

    Raises
    ------
    NotThere
        When this coach has none of this key.
    """
    with records.store.reading() as unit:
        found = unit.find(OwnVersion, coach_id=records.principal.coach_id, what=kind, key=key)
    if not found:
        raise NotThere(
            f"there is no {kind} {key[:60]!r} of your own; the list shows those there are"
        )
    return tuple(sorted(found, key=lambda version: -version.number))


def set_aside(records: Records) -> tuple[OnTheShelf, ...]:
    """
    List a coach's foods and dishes that are kept and cannot be read by this release.

    Parameters
    ----------
    records : Records

    Returns
    -------
    tuple of OnTheShelf
    """
    with records.store.reading() as unit:
        return own_set_aside(unit, records.principal.coach_id)


def pantry_of(records: Records) -> Pantry:
    """
    Gather what a coach offers beside what ships.

    Parameters
    ----------
    records : Records
        The coach's, or one of their clients'.

    Returns
    -------
    Pantry
    """
    return Pantry(
        foods=tuple(_food(version.body) for version in versions(records, "food")),
        dishes=tuple(_dish(version.body) for version in versions(records, "dish")),
    )


def beside(intake: Intake, pantry: Pantry) -> Intake:
    """
    Put a coach's foods and dishes beside an intake's own.

    Parameters
    ----------
    intake : Intake
    pantry : Pantry

    Returns
    -------
    Intake
        What stands in the intake itself counts where both have it.
    """
    if not pantry.foods and not pantry.dishes:
        return intake
    foods = {food.key: food for food in (*pantry.foods, *intake.own_foods)}
    dishes = {dish.key: dish for dish in (*pantry.dishes, *intake.own_dishes)}
    return intake.model_copy(
        update={"own_foods": tuple(foods.values()), "own_dishes": tuple(dishes.values())}
    )


def whole_intake(records: Records, body: str) -> Intake:
    """
    Read an intake and put the coach's foods and dishes beside it.

    Parameters
    ----------
    records : Records
    body : str
        The intake as JSON text.

    Returns
    -------
    Intake
        For planning, shopping and checking words; what is kept of a client stays without them.
    """
    return beside(intake_of(body), pantry_of(records))


def known_words(intake: Intake) -> tuple[str, ...]:
    """
    List names of foods and dishes that an intake may name.

    Parameters
    ----------
    intake : Intake
        With the coach's foods and dishes beside it.

    Returns
    -------
    tuple of str
        In alphabetical order.
    """
    names = {food.name for food in catalogue_of(intake)} | {dish.name for dish in dishes_of(intake)}
    return tuple(sorted(names))


def plain(model: type[M], data: object, say: Callable[[ValidationError], str]) -> M:
    """
    Check typed data against a model, refusing it in one line.

    Parameters
    ----------
    model : type
    data : object
    say : callable
        From pydantic's error to the line.

    Returns
    -------
    model instance

    Raises
    ------
    FoodError
    """
    try:
        return model.model_validate(data)
    except ValidationError as error:
        raise FoodError(say(error)) from None
