"""A food of the table told as text and as data."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from foods import Food


def _food_rows(words: str) -> list[dict[str, object]]:
    from foods import FoodTable

    table = FoodTable.load()
    if words.isdigit() and words.zfill(5) in table:
        found: tuple[Food, ...] = (table.food(words.zfill(5)),)
    else:
        found = table.search(words, limit=15)
    return [
        {
            "ndb": food.ndb,
            "description": food.description,
            "group": food.group,
            "plant_based": food.plant_based,
            "reason": food.reason,
        }
        for food in found
    ]


def foods_json(words: str) -> str:
    """
    Return search results as JSON text.

    Parameters
    ----------
    words : str
        What is looked for.
    """
    rows = _food_rows(words)
    from foods import FoodTable

    table = FoodTable.load()
    for row in rows:
        if row["plant_based"] == "yes":
            row["per_100g"] = table.per_100g(str(row["ndb"]))
    return json.dumps(rows, indent=2)


def food_text(words: str) -> str:
    """
    Return search results as text: number, plant-based or not and why, description.

    Parameters
    ----------
    words : str
        What is looked for.
    """
    rows = _food_rows(words)
    if not rows:
        return f"No food of the release matches {words!r}; try fewer or other words."
    return "\n".join(
        f"{row['ndb']}  {row['plant_based']:<8} {row['description']}"
        + ("" if row["plant_based"] == "yes" else f"  ({row['reason']})")
        for row in rows
    )
