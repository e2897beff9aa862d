"""
Food-safety advice where cooking or keeping can hurt someone, each with where it comes from.

Advice is given once, beside the dish it belongs to, and only when it matters: boiling beans hard
only when dried beans are boiled, keeping rice only when rice is kept. What a nutrient total or a
medicine calls for is said with the targets, not here.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from typing import Literal, cast, get_args

from foods.composition.catalogue import Catalogue
from mealplan.references.tables import Provenance, provenance, read_rows

When = Literal["dry", "cook", "keep", "reheat", "thaw", "allergy"]
"""Dried pulses are boiled; a dish is cooked; kept; reheated; thawed; someone has an allergy."""


@dataclass(frozen=True)
class Advice:
    """One piece of food-safety advice."""

    key: str
    when: When
    foods: tuple[str, ...]
    """Catalogue keys it is about; empty with ``groups``."""
    groups: tuple[str, ...]
    """``any``, or ``rice`` for every kind of boiled rice."""
    text: str
    source: str
    provenance: Provenance

    def is_about(self, keys: Iterable[str]) -> bool:
        """
        Say whether it is about one of these foods.

        Parameters
        ----------
        keys : iterable of str
            Catalogue keys.

        Returns
        -------
        bool
        """
        if "any" in self.groups:
            return True
        return any(key in self.foods or ("rice" in self.groups and is_rice(key)) for key in keys)


@dataclass(frozen=True)
class Keeping:
    """How long cooked food keeps."""

    what: str
    fridge_days: int
    """At or below 5 °C, after the day of cooking. [days]"""
    freezer_days: int
    """[days]"""
    source: str
    provenance: Provenance


@cache
def all_advice() -> tuple[Advice, ...]:
    """
    Load every piece of advice.

    Returns
    -------
    tuple of Advice
        In the order it is shown.
    """
    found = []
    for row in read_rows("food_safety.csv"):
        if row["when"] not in get_args(When):
            raise ValueError(f"food_safety.csv: when={row['when']!r} is not known")
        found.append(
            Advice(
                key=row["key"],
                when=cast(When, row["when"]),
                foods=tuple(key for key in row["foods"].split(";") if key),
                groups=tuple(group for group in row["groups"].split(";") if group),
                text=row["text"],
                source=row["source"],
                provenance=provenance(row["provenance"]),
            )
        )
    return tuple(found)


@cache
def keeping(what: Literal["rice", "cooked"]) -> Keeping:
    """
    Look up how long cooked food keeps.

    Parameters
    ----------
    what : {"rice", "cooked"}

    Returns
    -------
    Keeping
    """
    row = next(row for row in read_rows("keeping.csv") if row["what"] == what)
    return Keeping(
        what=what,
        fridge_days=int(row["fridge_days"]),
        freezer_days=int(row["freezer_days"]),
        source=row["source"],
        provenance=provenance(row["provenance"]),
    )


@cache
def is_rice(key: str) -> bool:
    """
    Say whether a catalogue food is boiled rice.

    Parameters
    ----------
    key : str
        Catalogue key.

    Returns
    -------
    bool
    """
    if key not in Catalogue.load():
        return False  # a food of one's own is eaten as it is sold
    food = Catalogue.load().food(key)
    return food.state == "boiled" and "rice" in food.name.lower() and "noodle" not in food.name


def advice_for(keys: Iterable[str], *whens: When) -> tuple[Advice, ...]:
    """
    Choose what matters for some foods at some moments.

    Parameters
    ----------
    keys : iterable of str
        Catalogue keys in the pot.
    *whens : When
        What is done with them.

    Returns
    -------
    tuple of Advice
        Each once, in the order of the table.
    """
    keys = tuple(keys)
    return tuple(
        advice for advice in all_advice() if advice.when in whens and advice.is_about(keys)
    )
