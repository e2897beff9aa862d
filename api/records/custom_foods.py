"""
A coach's own foods and dishes: kept, amended, withdrawn, and put beside each client's intake.

They are kept once for a coach and offered to all of their clients, because a label is a fact about
a product, not about a person: typed once it serves everyone, and each client's allergies and tastes
decide what reaches the plate. A plan takes along what it serves, so it stands when something is
amended or withdrawn later.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeVar

from pydantic import BaseModel, ValidationError

from api.records.book import Records
from api.records.reading import OnTheShelf, intake_of, own_set_aside
from api.records.view import Stale
from foods.composition.catalogue import Catalogue
from foods.custom.as_catalogue import catalogue_with
from foods.custom.food import OwnFood
from foods.custom.own_file import check_new, parse_own_foods
from foods.dishes.load import check_lines, load_dishes, own_dishes
from foods.dishes.model import Dish
from foods.registry.errors import FoodError
from mealplan.client.intake import Intake
from mealplan.errors import IntakeError
from mealplan.kitchen.custom_foods import catalogue_of, dishes_of
from mealplan.kitchen.preferences import check_tastes
from mealplan.store.base import AlreadyThere, NotThere, Reader
from mealplan.store.documents import OWN_DISH, OWN_FOOD, Unreadable
from mealplan.store.records import OwnKind, OwnVersion, new_id

KINDS_OF_OWN: tuple[OwnKind, ...] = ("food", "dish")

MOST_FOODS, MOST_DISHES = 60, 120
"""Most a coach may keep; an intake with all of them stays well under its size limit."""


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


def keep_food(records: Records, food: OwnFood, reason: str, was: int) -> OwnVersion:
    """
    Keep a food.

    Parameters
    ----------
    records : Records
    food : OwnFood
        With every question answered.
    reason : str
        Why it is kept or changed, for the history.
    was : int
        Number of the version it follows; 0 for a new one.

    Returns
    -------
    OwnVersion

    Raises
    ------
    FoodError
        When it cannot be told apart from another, or a dish no longer fits.
    Stale
        When it changed meanwhile.
    """

    def fits(pantry: Pantry) -> None:
        others = [other for other in pantry.foods if other.key != food.key]
        if len(others) >= MOST_FOODS:
            raise FoodError(f"{MOST_FOODS} foods are kept already; withdraw one that is not used")
        check_new([*others, food], "own foods")
        check_lines(pantry.dishes, catalogue_with([*others, food]))

    return _keep(records, "food", food.key, OWN_FOOD.write(food), reason, was, fits)


def keep_dish(records: Records, dish: Dish, reason: str, was: int) -> OwnVersion:
    """
    Keep a dish.

    Parameters
    ----------
    records : Records
    dish : Dish
    reason : str
        Why it is kept or changed, for the history.
    was : int
        Number of the version it follows; 0 for a new one.

    Returns
    -------
    OwnVersion

    Raises
    ------
    FoodError
        When its key is taken or its lines do not fit the foods there are.
    Stale
        When it changed meanwhile.
    """

    def fits(pantry: Pantry) -> None:
        if sum(other.key != dish.key for other in pantry.dishes) >= MOST_DISHES:
            raise FoodError(f"{MOST_DISHES} dishes are kept already; withdraw one that is not used")
        if dish.key in {shipped.key for shipped in load_dishes()}:
            raise FoodError(f"{dish.name!r} is a dish here already; give yours another name")
        check_lines([dish], pantry.catalogue)

    return _keep(records, "dish", dish.key, OWN_DISH.write(dish), reason, was, fits)


def keep_file(records: Records, text: str) -> tuple[int, int]:
    """
    Keep every food and dish of a file, or none of them.

    Parameters
    ----------
    records : Records
    text : str
        TOML with ``[[food]]`` or ``[[dish]]`` tables or both, as the command line reads them. What
        is kept already under the same key is amended.

    Returns
    -------
    tuple of int
        Foods and dishes kept.

    Raises
    ------
    FoodError
        When anything in it cannot be; nothing is kept then.
    """
    where = "the file"
    pantry = pantry_of(records)
    foods = parse_own_foods(text, where) if re.search(r"^[ \t]*\[\[food\]\]", text, re.M) else ()
    known = {food.key: food for food in (*pantry.foods, *foods)}
    dishes: tuple[Dish, ...] = ()
    if re.search(r"^[ \t]*\[\[dish\]\]", text, re.M) or not foods:
        dishes = own_dishes(text, where, catalogue_with(known.values()))
    check_new(tuple(known.values()), where)
    every_dish = {dish.key: dish for dish in (*pantry.dishes, *dishes)}
    check_lines(every_dish.values(), catalogue_with(known.values()), where)
    if len(known) > MOST_FOODS or len(every_dish) > MOST_DISHES:
        raise FoodError(
            f"with this file there would be {len(known)} foods and {len(every_dish)} dishes; "
            f"{MOST_FOODS} and {MOST_DISHES} are kept at most"
        )
    numbers = {(kind, v.key): v.number for kind in KINDS_OF_OWN for v in versions(records, kind)}
    for food in foods:
        keep_food(records, food, "from a file", numbers.get(("food", food.key), 0))
    for dish in dishes:
        keep_dish(records, dish, "from a file", numbers.get(("dish", dish.key), 0))
    return len(foods), len(dishes)


def withdraw(records: Records, kind: OwnKind, key: str, reason: str, was: int) -> OwnVersion:
    """
    Offer a food or dish no longer; plans that serve it stand.

    Parameters
    ----------
    records : Records
    kind : {"food", "dish"}
    key : str
    reason : str
        For the history.
    was : int
        Number of the version last seen.

    Returns
    -------
    OwnVersion

    Raises
    ------
    FoodError
        When a dish needs the food, or a client's tastes name it.
    NotThere, Stale
        When there is none, or it changed meanwhile.
    """
    if not history(records, kind, key)[0].body:
        raise NotThere(f"the {kind} {key!r} was withdrawn before")

    def fits(pantry: Pantry) -> None:
        foods = tuple(food for food in pantry.foods if kind != "food" or food.key != key)
        dishes = tuple(dish for dish in pantry.dishes if kind != "dish" or dish.key != key)
        using = [dish.name for dish in dishes if key in {line.food for line in dish.lines}]
        if kind == "food" and using:
            raise FoodError(
                f"{key} is used by {', '.join(using)}; withdraw or amend that dish first"
            )
        _check_clients(records, Pantry(foods, dishes), key)

    return _keep(records, kind, key, "", reason, was, fits)


def _check_clients(records: Records, left: Pantry, key: str) -> None:
    """Refuse to take away what a client's words name, or their plans could not be made."""
    for client in records.clients.all():
        try:
            intake = records.intakes.in_force(client)
            whole = beside(intake, left)
            check_lines(whole.own_dishes, catalogue_of(whole))
            check_tastes(whole)
        except Unreadable:
            continue  # nothing can be planned from it anyhow
        except (IntakeError, FoodError) as error:
            raise FoodError(
                f"{key} cannot be withdrawn: the {client.role} needs it ({error}). Amend that "
                "intake first"
            ) from None


def _keep(
    records: Records,
    kind: OwnKind,
    key: str,
    body: str,
    reason: str,
    was: int,
    fits: Callable[[Pantry], None],
) -> OwnVersion:
    reason = " ".join(reason.split())
    if was and not reason:
        raise IntakeError("the reason is empty; say in a few words why it changes, for the history")
    pantry = pantry_of(records)
    with records.store.reading() as unit:
        known = latest(records, unit, kind).get(key)
    number = known.number if known is not None else 0
    # A name that was withdrawn may be given again as if it were new.
    free = known is None or not known.body
    if number != was and not (was == 0 and free):
        if was == 0:
            raise FoodError(
                f"you keep a {kind} of this name already ({key}); amend that one instead"
            )
        raise Stale(
            f"the {kind} {key} was amended meanwhile; look at it, then make the change again"
        )
    fits(pantry)
    version = OwnVersion(
        id=new_id(),
        made_at=records.settings.now(),
        coach_id=records.principal.coach_id,
        what=kind,
        key=key,
        number=number + 1,
        body=body,
        by=records.principal.name,
        reason=reason or "entered",
    )
    try:
        with records.store.writing() as unit:
            unit.add(version)
    except AlreadyThere:
        raise Stale(
            f"the {kind} {key} was amended meanwhile; look at it, then make the change again"
        ) from None
    return version


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
