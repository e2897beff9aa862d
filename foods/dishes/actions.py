"""
The schema of a step, and the closed lists it draws on: verbs, vessels, cuts.

A step says in data what a cook does: the verb, what is taken, in which vessel, with how much water,
for how many minutes. What a verb means, its heat, its share of hands and its words, is a row of
``verbs.csv``; another language is another column there, not other dishes.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Annotated, Literal, get_args

from pydantic import BaseModel, ConfigDict, Field, field_validator

Way = Literal[
    "", "soak", "chill", "thaw", "steep", "warm", "fry", "toast", "boil", "hard boil", "steam",
    "bake", "grill", "microwave", "pop", "as before",
]  # fmt: skip
"""What a verb does to the food it holds; ``as before`` goes on as the vessel was."""

HOT: frozenset[str] = frozenset(
    {"steep", "warm", "fry", "toast", "boil", "hard boil", "steam", "bake", "grill", "microwave",
     "pop"}
)  # fmt: skip
"""Ways that heat."""

COLD: frozenset[str] = frozenset({"soak", "chill", "thaw"})
"""Ways that wait."""

Eaten = Literal["raw", "as is", "soaked", "thawed", "cooked"]
Start = Literal["", "as is", "raw", "dried", "frozen", "boiled"]
Name = Annotated[str, Field(max_length=80)]
"""A line, a result or a vessel."""
At = Literal["evening before", "cook", "plate"]


def table(name: str) -> list[dict[str, str]]:
    """
    Read one of the tables of the kitchen.

    Parameters
    ----------
    name : str
        File name under ``foods/data``.

    Returns
    -------
    list of dict of str to str
    """
    text = files("foods").joinpath("data", name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


@dataclass(frozen=True)
class Verb:
    """What a verb of a step means."""

    key: str
    way: Way
    cooker: str
    """Hob, oven, grill, microwave, kettle, blender, toaster, or nothing."""
    vessel: str
    """Where it happens when the step does not say."""
    hands_min: float
    """Hands it takes in any case. [min]"""
    hands_share: float
    """Share of its minutes a cook stands at it. [1]"""
    hands_each_min: float
    """Hands for each portion. [min]"""
    heat: str
    """Usual heat of the ring, where a step says none."""
    says: str
    """Words, into an empty vessel."""
    says_more: str
    """Words, when the vessel already holds something; as ``says`` when empty."""


@dataclass(frozen=True)
class Cut:
    """A way to cut."""

    key: str
    min_per_100g: float
    """An estimate: no published table of hands-on time a food was found. [min/100 g]"""
    cook_factor: float
    """Minutes it needs against chunks of two to three centimetres. [1]"""
    says: str


@dataclass(frozen=True)
class Vessel:
    """Something that holds food."""

    key: str
    litres: float
    """What it holds without boiling over. [l]"""
    fry_kg: float | None
    """Most that browns rather than stews in one go. [kg]"""
    said: str


@cache
def verbs() -> Mapping[str, Verb]:
    """
    Load the verbs.

    Returns
    -------
    mapping of str to Verb
    """
    found = {}
    for row in table("verbs.csv"):
        if row["way"] not in get_args(Way):
            raise ValueError(f"verbs.csv: {row['verb']}: way {row['way']!r} is not known")
        found[row["verb"]] = Verb(
            row["verb"],
            row["way"],  # type: ignore[arg-type]
            row["cooker"],
            row["vessel"],
            float(row["hands_min"]),
            float(row["hands_share"]),
            float(row["hands_each_min"]),
            row["heat"],
            row["says"],
            row["says_more"] or row["says"],
        )
    return found


@cache
def cuts() -> Mapping[str, Cut]:
    """
    Load the ways to cut.

    Returns
    -------
    mapping of str to Cut
    """
    return {
        row["cut"]: Cut(
            row["cut"], float(row["min_per_100g"]), float(row["cook_factor"]), row["says"]
        )
        for row in table("cuts.csv")
    }


@cache
def vessels() -> Mapping[str, Vessel]:
    """
    Load the vessels.

    Returns
    -------
    mapping of str to Vessel
    """
    return {
        row["vessel"]: Vessel(
            row["vessel"],
            float(row["litres"]),
            float(row["fry_kg"]) if row["fry_kg"] else None,
            row["said"],
        )
        for row in table("vessels.csv")
    }


def _listed(value: object) -> object:
    return (value,) if isinstance(value, str) else value


class Action(BaseModel):
    """One thing a cook does."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)

    do: str = Field(max_length=40)
    """A verb of ``verbs.csv``."""
    take: tuple[Name, ...] = Field(default=(), max_length=40)
    """Lines by the words the dish calls them, results named by ``makes``, or whole vessels."""
    with_: tuple[Name, ...] = Field(default=(), alias="with", max_length=40)
    """What it is done in or with: the fat, the dressing."""
    on: tuple[Name, ...] = Field(default=(), max_length=40)
    """What lies under it."""
    in_: str = Field(default="", alias="in", max_length=40)
    """The vessel; where the work already is when left out."""
    min: float = Field(default=0, ge=0, le=600)
    """Minutes, counted from the boil where something boils. [min]"""
    water_ml: float = Field(default=0, ge=0, le=2000)
    """Water for a typical portion, besides what grains call for. [ml]"""
    heat: Literal["", "low", "medium", "high"] = ""
    temp_c: int = Field(default=0, ge=0, le=260)
    """Of the oven. [°C]"""
    until: str = Field(default="", max_length=80)
    first: str = Field(default="", max_length=80)
    """What the hand does just before, in words: "prick the potatoes"."""
    then: str = Field(default="", max_length=80)
    """What it does right after, in words: "slice it"."""
    part: tuple[tuple[Name, Annotated[float, Field(gt=0, lt=1)]], ...] = Field(
        default=(), max_length=40
    )
    """Shares of lines taken now, the rest later, as ``{oil = 0.5}``."""
    makes: str = Field(default="", max_length=40)
    """What the vessel holds is called from now on."""
    at: At = "cook"
    each: bool = False
    """The minutes are for each portion, one after another."""

    @field_validator("take", "with_", "on", mode="before")
    @classmethod
    def _one_or_more(cls, value: object) -> object:
        return _listed(value)

    @field_validator("part", mode="before")
    @classmethod
    def _pairs(cls, value: object) -> object:
        return tuple(value.items()) if isinstance(value, dict) else value

    @field_validator("do")
    @classmethod
    def _known(cls, value: str) -> str:
        if value not in verbs():
            raise ValueError(
                f"{value!r} is no verb of a step; choose one of {', '.join(sorted(verbs()))}"
            )
        return value

    @field_validator("in_")
    @classmethod
    def _holds(cls, value: str) -> str:
        if value and value not in vessels():
            raise ValueError(
                f"{value!r} is no vessel; choose one of {', '.join(sorted(vessels()))}"
            )
        return value

    @property
    def verb(self) -> Verb:
        """What its verb means."""
        return verbs()[self.do]

    @property
    def shares(self) -> dict[str, float]:
        """Shares taken now, by line."""
        return dict(self.part)
