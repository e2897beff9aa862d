"""Page of likes and dislikes: words on five steps, from never to most of all."""

from __future__ import annotations

import datetime as dt
from urllib.parse import quote

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from api.desk.deps import AnyRecords, TheClient
from api.desk.form_body import TheForm
from api.pages.coach_contexts import TastesPage
from api.pages.rendering import page
from api.records.book import Records
from api.records.custom_foods import beside, known_words, pantry_of
from api.records.tastes import say_tastes
from foods.dishes.load import dishes_by_key
from mealplan.client.intake import Intake
from mealplan.errors import IntakeError
from mealplan.kitchen.custom_foods import catalogue_of, dishes_of
from mealplan.kitchen.preferences import STEPS, read_word
from mealplan.kitchen.taste_words import taste_words
from mealplan.plan import Meal
from mealplan.store.records import Client

router = APIRouter(prefix="/clients/{client_id}/tastes", include_in_schema=False)

UNWANTED = ("never", "dislikes", "seldom")
"""Steps after which meals ahead may want another dish."""
LONGEST_WORD = 80
"""Longest word of a taste. [characters]"""


@router.get("")
def show(request: Request, client: TheClient, records: AnyRecords, said: str = "") -> Response:
    """Show what is liked and what is not, and the meals ahead that a word just said touches."""
    return page(request, _page(records, client, said=said))


@router.post("")
def say(request: Request, client: TheClient, records: AnyRecords, form: TheForm) -> Response:
    """Put a word on a step, or take it off again."""
    word, step = form.text("word"), form.text("step")
    try:
        say_tastes(records, client, {step: (word,)})
    except IntakeError as error:
        context = _page(records, client, message=str(error), word=word, step=step)
        return page(request, context, status=422)
    said = quote(word[:LONGEST_WORD]) if step in UNWANTED else ""
    return RedirectResponse(f"/clients/{client.id}/tastes?said={said}", status_code=303)


def _page(
    records: Records,
    client: Client,
    *,
    message: str = "",
    word: str = "",
    step: str = "",
    said: str = "",
) -> TastesPage:
    whole = beside(records.intakes.in_force(client), pantry_of(records))
    tastes = whole.tastes
    names = {key: dish.name for key, dish in dishes_by_key(dishes_of(whole)).items()}
    return TastesPage(
        client=client,
        allergies=tastes.allergies,
        steps=tuple(
            (name, said, tuple((w, names.get(w, w)) for w in getattr(tastes, name)))
            for name, said in STEPS.items()
        ),
        known=known_words(whole),
        accepted=taste_words(dishes_of(whole), catalogue_of(whole)),
        message=message,
        word=word,
        step=step,
        said=said if said else "",
        touched=meals_with(records, client, whole, said) if said else (),
        was=client.plan_number,
    )


def meals_with(
    records: Records, client: Client, whole: Intake, word: str
) -> tuple[tuple[dt.date, Meal], ...]:
    """
    List the meals to come that a word is about.

    Parameters
    ----------
    records : Records
    client : Client
    whole : Intake
        With the coach's own foods and dishes.
    word : str
        As said on the page.

    Returns
    -------
    tuple of (date, Meal)
        None for a word that means nothing; meals that have passed or stay are left out.
    """
    try:
        foods, dishes = read_word(word, catalogue_of(whole), dishes_of(whole))
    except IntakeError:
        return ()
    running, today = records.plans.running(client), records.plans.today(client)
    days = [running.days[date].day for date in running.dates if date >= today]
    return tuple(
        (day.date, meal)
        for day in days
        for meal in day.meals
        if meal.slot not in records.plans.settled(client, day)
        and (meal.dish in dishes or foods & {serving.food for serving in meal.servings})
    )
