"""The JSON interface to a coach's own foods and dishes."""

from __future__ import annotations

import json
from typing import Annotated

from fastapi import APIRouter, Query
from fastapi.responses import JSONResponse, Response

from api.desk.deps import CoachRecords
from api.json.answers import REFUSALS, IfMatch, MaybeMatch
from api.json.schemas import (
    LabelFindingBody,
    LabelReadingBody,
    OwnDishBody,
    OwnDishWish,
    OwnFoodBody,
    OwnFoodWish,
    OwnList,
    RecipeDraftBody,
    RecipeLineBody,
    RecipeWish,
)
from api.records.book import Records
from api.records.custom_foods import history, pantry_of, versions
from api.records.own_kept import keep_dish, keep_food, withdraw
from api.records.view import Stale
from api.security.idempotency import Once
from foods.custom.label import Label, read_label
from foods.custom.label_checks import check_label, energy_of_parts
from foods.dishes.load import beside_shipped, dishes_by_key
from foods.registry.errors import FoodError
from mealplan.kitchen.recipe_in import read_recipe
from mealplan.kitchen.recipe_out import recipe_of
from mealplan.store.base import NotThere
from mealplan.store.documents import OWN_DISH, OWN_FOOD
from mealplan.store.records import OwnKind, OwnVersion

router = APIRouter(prefix="/api/own", responses=REFUSALS, tags=["own foods and dishes"])

Reason = Annotated[str, Query(max_length=400, description="Why, for the history")]


@router.get("")
def list_own(records: CoachRecords) -> OwnList:
    """List the foods and dishes that are offered beside what ships."""
    return OwnList(
        foods=tuple(_food(version) for version in versions(records, "food")),
        dishes=tuple(_dish(version) for version in versions(records, "dish")),
    )


@router.post("/labels")
def read(body: Label, records: CoachRecords) -> LabelReadingBody:
    """Read a label to amounts per 100 g and say what cannot be, keeping nothing."""
    reading = read_label(body)
    check = energy_of_parts(body)
    return LabelReadingBody(
        basis_g=reading.basis_g,
        per_100g=reading.per_100g,
        low_per_100g={line.key: line.per_100g.low for line in reading.lines if line.key},
        high_per_100g={line.key: line.per_100g.high for line in reading.lines if line.key},
        energy_of_parts_kcal=check.parts.value,
        findings=tuple(
            LabelFindingBody(code=finding.code, weight=finding.weight, text=finding.text)
            for finding in check_label(body)
        ),
    )


@router.put("/foods/{key}", response_model=OwnFoodBody)
def put_food(
    key: str, body: OwnFoodWish, records: CoachRecords, once: Once, if_match: MaybeMatch = None
) -> Response:
    """Keep a food from a label; a change carries the number last seen in If-Match."""

    def work() -> Response:
        _same_key(key, body.food.key)
        was = _seen(records, "food", key, if_match)
        version = keep_food(records, body.food, body.reason, was)
        return _answer(_food(version), version)

    return once.do(records, work)


@router.delete("/foods/{key}", status_code=204)
def delete_food(
    key: str, records: CoachRecords, if_match: IfMatch, reason: Reason = "no longer used"
) -> Response:
    """Offer a food no longer; plans that serve it stand."""
    return _gone(records, "food", key, if_match, reason)


@router.post("/recipes")
def read_foreign_recipe(body: RecipeWish, records: CoachRecords) -> RecipeDraftBody:
    """Read a schema.org Recipe to the draft of a dish and say what is unsure, keeping nothing."""
    draft = read_recipe(json.dumps(body.recipe), pantry_of(records).catalogue)
    return RecipeDraftBody(
        dish=draft.data(),
        lines=tuple(
            RecipeLineBody(
                text=line.text, food=line.food, grams=line.grams, question=line.question,
                choices=line.choices,
            )
            for line in draft.lines
        ),
        questions=draft.questions,
        notes=draft.notes,
    )  # fmt: skip


@router.get("/recipes/{key}")
def give_recipe(
    key: str,
    records: CoachRecords,
    portions: Annotated[int | None, Query(ge=1, le=8, description="Portions at once")] = None,
) -> dict[str, object]:
    """Give any dish, shipped or own, as a schema.org Recipe."""
    pantry = pantry_of(records)
    dish = dishes_by_key(beside_shipped(pantry.dishes)).get(key)
    if dish is None:
        raise NotThere(f"no dish has the key {key[:60]!r}")
    return recipe_of(dish, pantry.catalogue, portions)


@router.put("/dishes/{key}", response_model=OwnDishBody)
def put_dish(
    key: str, body: OwnDishWish, records: CoachRecords, once: Once, if_match: MaybeMatch = None
) -> Response:
    """Keep a dish; a change carries the number last seen in If-Match."""

    def work() -> Response:
        _same_key(key, body.dish.key)
        was = _seen(records, "dish", key, if_match)
        version = keep_dish(records, body.dish, body.reason, was)
        return _answer(_dish(version), version)

    return once.do(records, work)


@router.delete("/dishes/{key}", status_code=204)
def delete_dish(
    key: str, records: CoachRecords, if_match: IfMatch, reason: Reason = "no longer used"
) -> Response:
    """Offer a dish no longer; plans that serve it stand."""
    return _gone(records, "dish", key, if_match, reason)


def _same_key(address: str, body: str) -> None:
    if address != body:
        raise FoodError(f"the address says {address[:60]!r}, the body {body!r}; send both alike")


def _seen(records: Records, kind: OwnKind, key: str, if_match: str | None) -> int:
    """Turn an If-Match into the number last seen; 0 for something new."""
    if if_match is None:
        return 0
    text = if_match.strip().removeprefix("W/").strip('"')
    if text == "*":
        try:
            return history(records, kind, key)[0].number
        except NotThere:
            return 0
    if not text.isdigit() or len(text) > 9:
        raise Stale(f"If-Match {if_match[:40]!r} is not the number of a version; look at it again")
    return int(text)


def _gone(records: Records, kind: OwnKind, key: str, if_match: str, reason: str) -> Response:
    withdraw(
        records, kind, key, reason.strip() or "no longer used", _seen(records, kind, key, if_match)
    )
    return Response(status_code=204)


def _answer(body: OwnFoodBody | OwnDishBody, version: OwnVersion) -> Response:
    return JSONResponse(
        body.model_dump(mode="json"),
        status_code=201 if version.number == 1 else 200,
        headers={"ETag": f'"{version.number}"'},
    )


def _food(version: OwnVersion) -> OwnFoodBody:
    return OwnFoodBody(
        number=version.number,
        made_at=version.made_at,
        food=OWN_FOOD.read(version.body),
    )


def _dish(version: OwnVersion) -> OwnDishBody:
    return OwnDishBody(
        number=version.number,
        made_at=version.made_at,
        dish=OWN_DISH.read(version.body),
    )
