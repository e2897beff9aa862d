"""Foods and dishes of one's own written, set aside or taken from a file."""

from __future__ import annotations

import re
from collections.abc import Callable

from api.records.book import Records
from api.records.custom_foods import Pantry, beside, history, latest, pantry_of, versions
from api.records.view import Stale
from foods.custom.as_catalogue import catalogue_with
from foods.custom.food import OwnFood
from foods.custom.own_file import check_new, parse_own_foods
from foods.dishes.load import check_lines, load_dishes, own_dishes
from foods.dishes.model import Dish
from foods.registry.errors import FoodError
from mealplan.errors import IntakeError
from mealplan.kitchen.custom_foods import catalogue_of
from mealplan.kitchen.preferences import check_tastes
from mealplan.store.base import AlreadyThere, NotThere
from mealplan.store.documents import OWN_DISH, OWN_FOOD, Unreadable
from mealplan.store.records import OwnKind, OwnVersion, new_id

KINDS_OF_OWN: tuple[OwnKind, ...] = ("food", "dish")
MOST_FOODS, MOST_DISHES = 60, 120
"""Most a coach may keep; an intake with all of them stays well under its size limit."""


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
