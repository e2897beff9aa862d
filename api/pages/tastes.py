"""Page of likes and dislikes: words on five steps, from never to most of all."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from api.deps import AnyRecords, TheClient, TheForm
from api.pages.contexts import TastesPage
from api.pages.rendering import page
from api.records.book import Records
from api.records.custom_foods import beside, known_words, pantry_of
from api.records.tastes import say_tastes
from foods.dishes.load import dishes_by_key
from mealplan.errors import IntakeError
from mealplan.kitchen.custom_foods import dishes_of
from mealplan.kitchen.preferences import STEPS
from mealplan.store.records import Client

router = APIRouter(prefix="/clients/{client_id}/tastes", include_in_schema=False)


@router.get("")
def show(request: Request, client: TheClient, records: AnyRecords) -> Response:
    """Show what is liked and what is not."""
    return page(request, _page(records, client))


@router.post("")
def say(request: Request, client: TheClient, records: AnyRecords, form: TheForm) -> Response:
    """Put a word on a step, or take it off again."""
    word, step = form.text("word"), form.text("step")
    try:
        say_tastes(records, client, {step: (word,)})
    except IntakeError as error:
        context = _page(records, client, message=str(error), word=word, step=step)
        return page(request, context, status=422)
    return RedirectResponse(f"/clients/{client.id}/tastes", status_code=303)


def _page(
    records: Records, client: Client, *, message: str = "", word: str = "", step: str = ""
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
        message=message,
        word=word,
        step=step,
    )
