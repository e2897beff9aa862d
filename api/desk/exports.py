"""Plans in open formats: the list as CSV and text, meals as a calendar, dishes as linked data."""

from __future__ import annotations

import csv
import datetime as dt
import io
import json
from typing import TYPE_CHECKING

from mealplan.plan import Meal, Plan, PlanDay
from mealplan.shopping.door import ShoppingList
from mealplan.store.records import Client

if TYPE_CHECKING:
    from icalendar import Event


def list_csv(shopping: ShoppingList) -> str:
    """
    Write the shopping list as RFC 4180 text with a header.

    Parameters
    ----------
    shopping : ShoppingList

    Returns
    -------
    str
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(
        [
            "aisle",
            "food",
            "packs",
            "buy_g",
            "need_g",
            "at_home_g",
            "left_over_g",
            "buy_fresh_on",
            "read_label_for",
            "for",
        ]
    )
    for aisle, lines in shopping.by_aisle():
        for line in lines:
            writer.writerow(
                [
                    aisle,
                    _cell(line.shop_name),
                    line.packs_text(),
                    f"{line.buy_g:g}",
                    f"{line.need_g:g}",
                    f"{line.from_cupboard_g:g}",
                    f"{line.left_over_g:g}",
                    line.second_trip_on.isoformat() if line.second_trip_on else "",
                    "; ".join(line.read_label),
                    _cell("; ".join(line.dishes)),
                ]
            )
    return out.getvalue()


def _cell(text: str) -> str:
    """Keep a spreadsheet from reading words as a formula."""
    return f"'{text}" if text[:1] in "=+-@\t\r" else text


def list_text(shopping: ShoppingList, role: str) -> str:
    """
    Write the shopping list as plain text for a phone's notes.

    Parameters
    ----------
    shopping : ShoppingList
    role : str

    Returns
    -------
    str
    """
    rows = [f"Shopping list, {role}: {shopping.days} days from {shopping.start:%A %d %B}"]
    for aisle, lines in shopping.by_aisle():
        rows += ["", aisle.upper()]
        rows += [
            f"[ ] {line.shop_name}: {line.packs_text()}"
            f"{'; ' + line.label_text() if line.read_label else ''}"
            for line in lines
        ]
    rows += ["", *shopping.notes]
    return "\n".join(rows).rstrip() + "\n"


def calendar(client: Client, plan: Plan, stamp: dt.datetime) -> str:
    """
    Write a plan's meals as an iCalendar object, at the clock times of wherever it is read.

    Parameters
    ----------
    client : Client
    plan : Plan
    stamp : datetime
        When it is written.

    Returns
    -------
    str
        RFC 5545 text with folded lines.
    """
    from icalendar import Calendar

    made = Calendar()
    made.add("version", "2.0")
    made.add("prodid", "-//mealplan//menu//EN")
    made.add("method", "PUBLISH")
    for day in plan.days:
        for meal in day.meals:
            made.add_component(_event(client, day, meal, stamp))
    text: bytes = made.to_ical()
    return text.decode()


def _event(client: Client, day: PlanDay, meal: Meal, stamp: dt.datetime) -> Event:
    from icalendar import Event

    amounts = "; ".join(f"{serving.phrase} ({serving.grams:.0f} g)" for serving in meal.servings)
    event = Event()
    event.add("uid", f"{client.id}-{day.date:%Y%m%d}-{meal.slot}@mealplan.invalid")
    event.add("dtstamp", stamp.astimezone(dt.UTC))
    event.add("dtstart", dt.datetime.combine(day.date, dt.time.fromisoformat(meal.time)))
    event.add("duration", dt.timedelta(minutes=30))
    event.add("summary", meal.name)
    event.add("description", f"{meal.label}. {amounts}")
    event.add("transp", "TRANSPARENT")
    return event


def recipe(day: PlanDay, meal: Meal, *, hide: bool = False) -> str:
    """
    Describe a planned dish as a schema.org Recipe.

    Parameters
    ----------
    day : PlanDay
        Day it is planned on.
    meal : Meal
    hide : bool
        True leaves calories out.

    Returns
    -------
    str
        JSON-LD that may stand inside a script element.
    """
    portions = max(1, meal.cook_portions)
    data = {
        "@context": "https://schema.org",
        "@type": "Recipe",
        "name": meal.name,
        "datePublished": day.date.isoformat(),
        "recipeCategory": meal.label,
        "suitableForDiet": "https://schema.org/VeganDiet",
        "recipeYield": f"{portions} {'portion' if portions == 1 else 'portions'}",
        "prepTime": f"PT{meal.hands_on_min}M",
        "totalTime": f"PT{meal.total_min}M",
        "recipeIngredient": [
            f"{serving.grams * portions:.0f} g {serving.called}" for serving in meal.servings
        ],
        "recipeInstructions": [{"@type": "HowToStep", "text": step} for step in meal.method],
        "nutrition": {
            "@type": "NutritionInformation",
            "servingSize": f"{sum(serving.grams for serving in meal.servings):.0f} g",
            "calories": f"{meal.energy_kcal:.0f} kcal",
            "proteinContent": f"{meal.protein_g:.1f} g",
        },
    }
    if hide:
        del data["nutrition"]
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
    return text.replace("<", "\\u003c").replace("&", "\\u0026")
