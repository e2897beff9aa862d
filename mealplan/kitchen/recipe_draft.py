"""A recipe as read from elsewhere, before it is a dish."""

from __future__ import annotations

import json
import re
import unicodedata
from dataclasses import dataclass
from typing import Any

from foods.dishes.model import Dish
from foods.registry.errors import FoodError
from mealplan.kitchen.ingredient import MatchedLine

LEAST_SHARE, MOST_SHARE = 0.7, 1.5
"""What a line's amount may be, as shares of the recipe's."""


@dataclass(frozen=True)
class RecipeDraft:
    """A dish of one's own, as far as a recipe gives it."""

    name: str
    tradition: str
    occasions: tuple[str, ...]
    portions: int
    lines: tuple[MatchedLine, ...]
    method: tuple[str, ...]
    hands_on_min: int
    total_min: int
    tools: tuple[str, ...]
    notes: tuple[str, ...] = ()
    """What was taken for granted, to be looked at."""

    @property
    def questions(self) -> tuple[str, ...]:
        """What has to be answered before it is a dish, each with its line."""
        asked = [f"{line.text}: {line.question}" for line in self.lines if line.question]
        if not self.total_min:
            asked.append("how many minutes does it take? The recipe gives no time")
        if not self.method:
            asked.append("what is done? The recipe gives no steps")
        return tuple(asked)

    def data(self) -> dict[str, Any]:
        """
        Give what is known as a dish's data; lines still open are left out.

        Returns
        -------
        dict
            For ``Dish``, one portion's amounts.
        """
        lines = [
            {
                "food": line.food,
                "called": line.called,
                "g": [
                    round(line.grams * share / self.portions, 4)
                    for share in (LEAST_SHARE, 1.0, MOST_SHARE)
                ],
                "optional": line.optional,
            }
            for line in self.lines
            if line.food and line.grams
        ]
        return {
            "key": key_of(self.name),
            "name": self.name,
            "tradition": self.tradition,
            "occasions": list(self.occasions),
            "hands_on_min": self.hands_on_min,
            "total_min": self.total_min,
            "keeps_days": 0,
            "batch_portions": min(self.portions, 8),
            "equipment": list(self.tools),
            "lines": lines,
            "method": list(naming_all(self.method, [str(line["called"]) for line in lines])),
        }

    def dish(self) -> Dish:
        """
        Give the dish once nothing is open.

        Returns
        -------
        Dish
            Unproven.

        Raises
        ------
        FoodError
            With the first open question.
        """
        if self.questions:
            raise FoodError(f"{self.name}: {self.questions[0]}")
        return Dish.model_validate(self.data())

    def toml(self) -> str:
        """
        Write the draft as a file of own dishes, open questions as comments.

        Returns
        -------
        str
        """
        data = self.data()
        rows = [*(f"# asked: {text}" for text in self.questions), *(f"# {n}" for n in self.notes)]
        rows.append("[[dish]]")
        for name, value in data.items():
            if name == "lines":
                inner = [
                    "  {" + ", ".join(f"{key} = {_toml(item)}" for key, item in line.items()) + "},"
                    for line in value
                ]
                rows += ["lines = [", *inner, "]"]
            else:
                rows.append(f"{name} = {_toml(value)}")
        return "\n".join(rows) + "\n"


def _toml(value: object) -> str:
    """Write a value as TOML; JSON writes the same but for what is not used here."""
    return json.dumps(value, ensure_ascii=False)


def key_of(name: str) -> str:
    """
    Make the key of a dish of one's own from its name.

    Parameters
    ----------
    name : str

    Returns
    -------
    str
    """
    plain = unicodedata.normalize("NFKD", name.lower()).encode("ascii", "ignore").decode()
    return "-".join(["own", *re.findall(r"[a-z0-9]+", plain)])[:60].rstrip("-")


def naming_all(method: tuple[str, ...], called: list[str]) -> tuple[str, ...]:
    """
    See to it that the steps speak of every food.

    Parameters
    ----------
    method : tuple of str
    called : list of str

    Returns
    -------
    tuple of str
        With a first step that sets out what no step names.
    """
    text = " ".join(method).lower()
    unnamed = [word for word in called if word.lower() not in text]
    return (f"Set out: {', '.join(unnamed)}.", *method) if unnamed and method else method
