"""Plans in open formats: the list as CSV and text, meals as a calendar, dishes as linked data."""

from __future__ import annotations

import csv
import datetime as dt
import io
import json
import re

from mealplan.plan import Meal, Plan, PlanDay
from mealplan.shopping.door import ShoppingList
from mealplan.store.records import Client

LINE_OCTETS = 75
"""Longest line of a calendar file before it is folded (RFC 5545, 3.1). [octets]"""


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
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//mealplan//menu//EN",
        "CALSCALE:GREGORIAN",
        "METHOD:PUBLISH",
    ]
    for day in plan.days:
        for meal in day.meals:
            lines += _event(client, day, meal, stamp)
    lines.append("END:VCALENDAR")
    return "".join(f"{folded}\r\n" for line in lines for folded in _folded(line))


def _event(client: Client, day: PlanDay, meal: Meal, stamp: dt.datetime) -> list[str]:
    hours, _, minutes = meal.time.partition(":")
    begins = dt.datetime.combine(day.date, dt.time(int(hours), int(minutes)))
    amounts = "; ".join(f"{serving.phrase} ({serving.grams:.0f} g)" for serving in meal.servings)
    return [
        "BEGIN:VEVENT",
        f"UID:{client.id}-{day.date:%Y%m%d}-{meal.slot}@mealplan.invalid",
        f"DTSTAMP:{stamp.astimezone(dt.UTC):%Y%m%dT%H%M%SZ}",
        f"DTSTART:{begins:%Y%m%dT%H%M%S}",
        "DURATION:PT30M",
        f"SUMMARY:{_escaped(meal.name)}",
        f"DESCRIPTION:{_escaped(f'{meal.label}. {amounts}')}",
        "TRANSP:TRANSPARENT",
        "END:VEVENT",
    ]


def _escaped(text: str) -> str:
    text = text.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
    return re.sub(r"\r?\n", r"\\n", text)


def _folded(line: str) -> list[str]:
    """Fold a line so that no part is longer than 75 octets, never inside a character."""
    parts: list[str] = []
    part, size = "", 0
    for letter in line:
        octets = len(letter.encode())
        if size + octets > LINE_OCTETS:
            parts.append(part)
            part, size = " ", 1
        part += letter
        size += octets
    return [*parts, part]


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
