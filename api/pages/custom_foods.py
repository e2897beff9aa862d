"""Pages of a coach's own foods and dishes: enter, see what was understood, amend, withdraw."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, RedirectResponse, Response
from pydantic import ValidationError

from api.desk.deps import CoachRecords
from api.desk.form_body import Form, TheForm
from api.forms.custom_dishes import blank_dish, dish_data, dish_lines, typed_dish, typed_recipe
from api.forms.custom_foods import blank_food, food_data, food_groups, seen_of, typed_food
from api.forms.custom_reading import dish_line, food_line, read_dish, read_food
from api.forms.intake_fields import Typed
from api.pages.coach_contexts import OwnDishPage, OwnFoodPage, OwnPage
from api.pages.rendering import page
from api.records.book import Records
from api.records.custom_foods import history, pantry_of, plain, set_aside, versions
from api.records.own_kept import keep_dish, keep_file, keep_food, withdraw
from foods.composition.catalogue import Catalogue
from foods.composition.table import FoodTable
from foods.composition.unlisted.amino_acids import AMINO_ACIDS
from foods.custom.food import DRAFT, OwnFood
from foods.custom.ingredients import read_ingredients
from foods.custom.own_file import plain_fault
from foods.dishes.load import beside_shipped, check_lines
from foods.dishes.model import Dish
from foods.registry.errors import FoodError
from mealplan.errors import IntakeError
from mealplan.kitchen.recipe_in import read_recipe
from mealplan.kitchen.recipe_out import recipe_of
from mealplan.store.base import NotThere
from mealplan.store.documents import OWN_DISH, OWN_FOOD
from mealplan.store.records import OwnKind, OwnVersion

router = APIRouter(prefix="/own", include_in_schema=False)


@router.get("")
def show(request: Request, records: CoachRecords) -> Response:
    """List what is kept."""
    return page(request, _list(records))


@router.post("/file")
def take_file(request: Request, records: CoachRecords, form: TheForm) -> Response:
    """Keep the foods and dishes of a file."""
    content = form.upload("file")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        message = f"byte {error.start} of the file is not UTF-8 text; save it again as UTF-8"
        return page(request, _list(records, message), status=422)
    if not text.strip():
        return page(request, _list(records, "the file is empty; choose one first"), status=422)
    try:
        keep_file(records, text)
    except FoodError as error:
        return page(request, _list(records, str(error)), status=422)
    return RedirectResponse("/own", status_code=303)


@router.get("/foods/new")
def new_food(request: Request, records: CoachRecords) -> Response:
    """Show the empty form of a food."""
    return page(request, _food_page(None, blank_food(records.settings.today())))


@router.post("/foods")
def add_food(request: Request, records: CoachRecords, form: TheForm) -> Response:
    """Check a food, or keep it."""
    return _take_food(request, records, form, None)


@router.get("/foods/{key}")
def show_food(request: Request, records: CoachRecords, key: str) -> Response:
    """Show a food's form as it is kept."""
    found = _in_force(records, "food", key)
    food = OWN_FOOD.read(found[0].body)
    # Who amends a label confirms it anew.
    draft = food.model_copy(update={"confirmed": ()})
    return page(request, _food_page(found, typed_food(food), draft=draft))


@router.post("/foods/{key}")
def amend_food(request: Request, records: CoachRecords, form: TheForm, key: str) -> Response:
    """Check an amended food, or keep it."""
    return _take_food(request, records, form, _in_force(records, "food", key))


@router.post("/foods/{key}/withdraw")
def withdraw_food(request: Request, records: CoachRecords, form: TheForm, key: str) -> Response:
    """Offer a food no longer."""
    return _withdraw(request, records, form, "food", key)


@router.get("/dishes/new")
def new_dish(request: Request, records: CoachRecords) -> Response:
    """Show the empty form of a dish."""
    return page(request, _dish_page(None, blank_dish(), pantry_of(records).catalogue))


@router.post("/dishes")
def add_dish(request: Request, records: CoachRecords, form: TheForm) -> Response:
    """Check a dish, or keep it."""
    return _take_dish(request, records, form, None)


@router.post("/dishes/recipe")
def read_from_recipe(request: Request, records: CoachRecords, form: TheForm) -> Response:
    """Show a recipe from elsewhere as the form of a new dish, with what is unsure asked."""
    catalogue = pantry_of(records).catalogue
    text = form.text("recipe").strip()
    try:
        text = text or form.upload("file").decode("utf-8-sig")
        if not text:
            raise FoodError("nothing was pasted and no file chosen; give one of them")
        draft = read_recipe(text, catalogue, "the recipe")
    except UnicodeDecodeError as error:
        message = f"byte {error.start} of the file is not UTF-8 text; save it again as UTF-8"
        return page(request, _list(records, message), status=422)
    except FoodError as error:
        return page(request, _list(records, str(error)), status=422)
    asked = (*draft.questions, *draft.notes)
    return page(request, _dish_page(None, typed_recipe(draft, catalogue), catalogue, asked=asked))


@router.get("/recipe")
def save_as_recipe(request: Request, records: CoachRecords, dish: str = "") -> Response:
    """Give any dish as a schema.org recipe, to be saved."""
    pantry = pantry_of(records)
    wanted = dish.strip().lower()
    found = next(
        (one for one in beside_shipped(pantry.dishes) if wanted in (one.key, one.name.lower())),
        None,
    )
    if found is None:
        message = f"no dish is called {dish[:60]!r}; choose one of the list"
        return page(request, _list(records, message), status=422)
    return JSONResponse(
        recipe_of(found, pantry.catalogue),
        media_type="application/ld+json",
        headers={"Content-Disposition": f'attachment; filename="{found.key}.json"'},
    )


@router.get("/dishes/{key}")
def show_dish(request: Request, records: CoachRecords, key: str) -> Response:
    """Show a dish's form as it is kept."""
    found = _in_force(records, "dish", key)
    dish = OWN_DISH.read(found[0].body)
    catalogue = pantry_of(records).catalogue
    return page(request, _dish_page(found, typed_dish(dish, catalogue), catalogue, dish))


@router.post("/dishes/{key}")
def amend_dish(request: Request, records: CoachRecords, form: TheForm, key: str) -> Response:
    """Check an amended dish, or keep it."""
    return _take_dish(request, records, form, _in_force(records, "dish", key))


@router.post("/dishes/{key}/withdraw")
def withdraw_dish(request: Request, records: CoachRecords, form: TheForm, key: str) -> Response:
    """Offer a dish no longer."""
    return _withdraw(request, records, form, "dish", key)


def _in_force(records: Records, kind: OwnKind, key: str) -> tuple[OwnVersion, ...]:
    """Give every version of what is in force, newest first."""
    found = history(records, kind, key)
    if not found[0].body:
        raise NotThere(f"the {kind} {key[:60]!r} was withdrawn; enter it anew to offer it again")
    return found


def _list(records: Records, message: str = "") -> OwnPage:
    pantry = pantry_of(records)
    dishes = {dish.key: dish for dish in pantry.dishes}
    return OwnPage(
        foods=tuple(
            food_line(version, food, dishes, records.settings.today())
            for version, food in zip(versions(records, "food"), pantry.foods, strict=True)
        ),
        dishes=tuple(
            dish_line(version, dish, pantry.catalogue)
            for version, dish in zip(versions(records, "dish"), pantry.dishes, strict=True)
        ),
        clients=len(records.clients.all()),
        all_dishes=tuple(sorted(dish.name for dish in beside_shipped(pantry.dishes))),
        message=message,
        set_aside=set_aside(records),
    )


def _withdraw(request: Request, records: Records, form: Form, kind: OwnKind, key: str) -> Response:
    reason = form.text("reason").strip() or "no longer used"
    try:
        withdraw(records, kind, key, reason, form.number("was"))
    except FoodError as error:
        return page(request, _list(records, str(error)), status=422)
    return RedirectResponse("/own", status_code=303)


# Foods


def _take_food(
    request: Request, records: Records, form: Form, found: tuple[OwnVersion, ...] | None
) -> Response:
    typed = dict(form.typed())
    proposed = _propose(typed)
    keep = form.text("do") == "keep" and not proposed
    if found is not None:
        typed["key"] = (found[0].key,)
    draft = None
    try:
        draft = OwnFood.model_validate(food_data(typed), context=DRAFT)
        messages = list(draft.faults)
        if keep and not messages:
            messages = [question.text for question in draft.open_questions]
        if keep and not messages:
            food = plain(OwnFood, food_data(typed), plain_fault)
            keep_food(records, food, form.text("reason"), form.number("was") if found else 0)
            return RedirectResponse("/own", status_code=303)
    except ValidationError as error:
        messages = [plain_fault(error)]
    except (FoodError, IntakeError) as error:
        messages = [str(error)]
    context = _food_page(found, typed, draft, tuple(messages), proposed)
    return page(request, context, status=422 if messages else 200)


def _propose(typed: dict[str, tuple[str, ...]]) -> tuple[str, ...]:
    """
    Tick the allergens that a new text of ingredients names, once.

    What was confirmed of another text no longer is. Whoever unticks an allergen afterwards is asked
    to confirm that the package shows none.
    """
    text = typed.get("ingredients", ("",))[-1]
    seen = seen_of(text)
    if typed.get("seen", ("",))[-1] == seen:
        return ()
    typed["seen"] = (seen,)
    typed["confirmed"] = ()
    reading = read_ingredients(text)
    held, carried = typed.get("allergens", ()), typed.get("traces", ())
    new = tuple(word for word in reading.allergens if word not in held)
    new = tuple(word for word in new if word not in ("milk", "egg", "fish", "crustaceans"))
    traces = tuple(word for word in reading.traces if word not in carried)
    typed["allergens"] = (*held, *new)
    typed["traces"] = (*carried, *traces)
    return (*new, *(f"traces of {word}" for word in traces))


@cache
def _references() -> tuple[tuple[str, str], ...]:
    """Foods of the catalogue with values for every amino acid."""
    table = FoodTable.load()
    return tuple(
        (food.key, food.name)
        for food in Catalogue.load()
        if food.ndb is not None and set(AMINO_ACIDS) <= set(table.per_100g(food.ndb))
    )


def _food_page(
    found: tuple[OwnVersion, ...] | None,
    typed: Typed,
    draft: OwnFood | None = None,
    messages: tuple[str, ...] = (),
    proposed: tuple[str, ...] = (),
) -> OwnFoodPage:
    name = typed.get("name", ("",))[-1]
    return OwnFoodPage(
        title=f"{name or 'Food'}: label" if found else "A food from its label",
        action=f"/own/foods/{found[0].key}" if found else "/own/foods",
        groups=food_groups(),
        typed=typed,
        read=None if draft is None else read_food(draft),
        messages=messages,
        faulty=_named(messages),
        proposed=proposed,
        references=_references(),
        was=found[0].number if found else 0,
        versions=found or (),
    )


def _named(messages: tuple[str, ...]) -> frozenset[str]:
    """Find the fields messages are about."""
    return frozenset(
        re.findall(r"\b[a-z][a-z_]+(?:_(?:g|mg|ml|kcal|kj|days|day))?\b", " ".join(messages))
    )


# Dishes


def _take_dish(
    request: Request, records: Records, form: Form, found: tuple[OwnVersion, ...] | None
) -> Response:
    typed = dict(form.typed())
    if found is not None:
        typed["key"] = (found[0].key,)
    catalogue = pantry_of(records).catalogue
    dish, message = None, ""
    try:
        dish = plain(Dish, _dish_data(typed, catalogue, found), plain_dish_fault)
        check_lines([dish], catalogue, "this dish")
        if form.text("do") == "keep":
            keep_dish(records, dish, form.text("reason"), form.number("was") if found else 0)
            return RedirectResponse("/own", status_code=303)
    except (FoodError, IntakeError) as error:
        message = str(error)
    context = _dish_page(found, typed, catalogue, dish, message)
    return page(request, context, status=422 if message else 200)


def _dish_data(
    typed: Typed, catalogue: Catalogue, found: tuple[OwnVersion, ...] | None
) -> Mapping[str, object]:
    """Read a dish's form; what the form cannot say stays as it was."""
    data = dish_data(typed, catalogue)
    if found is None:
        return data
    before = OWN_DISH.read(found[0].body)
    foods = {line["food"] for line in data["lines"]}
    ratios = tuple(ratio for ratio in before.ratios if {ratio.food, ratio.to} <= foods)
    kept: dict[str, object] = {"ratios": ratios, "cautions": before.cautions}
    if data.get("steps"):
        kept["lines"] = _as_before(before, data)
    return data | kept


def _as_before(before: Dish, data: Mapping[str, Any]) -> tuple[dict[str, object], ...]:
    """Keep what the lines of a dish said of state and cut, which its form does not ask."""
    was = {line.called: line for line in before.lines}
    return tuple(
        line
        | (
            {"eaten": old.eaten, "start": old.start, "cut": old.cut}
            if (old := was.get(line["called"])) is not None and before.steps
            else {}
        )
        for line in data["lines"]
    )


_DISH_WORDS = {
    "name": "the name", "occasions": "the meals it suits", "lines": "the foods",
    "method": "the method", "hands_on_min": "minutes hands-on", "total_min": "minutes in all",
    "keeps_days": "days it keeps", "batch_portions": "portions in one go",
}  # fmt: skip


def plain_dish_fault(error: ValidationError) -> str:
    """
    Say the first thing a typed dish was refused for.

    Parameters
    ----------
    error : ValidationError

    Returns
    -------
    str
    """
    first = error.errors()[0]
    said = first["msg"].removeprefix("Value error, ")
    field = str(first["loc"][0]) if first["loc"] else ""
    words = _DISH_WORDS.get(field, field)
    if first["type"] == "missing" or first["input"] in ("", ()):
        return f"{words}: still blank; fill it in"
    if first["type"] == "too_short" and field == "lines":
        return "the foods: a dish holds two at least"
    if "never mentions" in said:
        missing = said.rpartition("never mentions ")[2]
        return (
            f"the method never mentions {missing}: say what is done with it, or write in its line "
            "the word the method uses"
        )
    if first["type"] == "value_error":
        return said
    return f"{words} {str(first['input'])[:40]!r}: {said[:1].lower() + said[1:]}"


def _dish_page(
    found: tuple[OwnVersion, ...] | None,
    typed: Typed,
    catalogue: Catalogue,
    dish: Dish | None = None,
    message: str = "",
    asked: tuple[str, ...] = (),
) -> OwnDishPage:
    name = typed.get("name", ("",))[-1]
    return OwnDishPage(
        title=f"{name or 'Dish'}: amend" if found else "A dish of your own",
        action=f"/own/dishes/{found[0].key}" if found else "/own/dishes",
        typed=typed,
        lines=dish_lines(typed),
        read=None if dish is None or message else read_dish(dish, catalogue),
        message=message,
        asked=asked,
        foods=tuple(sorted(food.name for food in catalogue)),
        was=found[0].number if found else 0,
        versions=found or (),
    )
