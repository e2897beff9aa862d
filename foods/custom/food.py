"""
Foods of one's own: entered from a package label, with what a kitchen and an allergy need.

Such a food has no number in the release. It counts what its label declares and nothing else;
amino acids may be imputed from a named food of the table, are flagged and never counted. A food is
taken only when every question about it is answered: whether it is free of animal ingredients, and
whether its allergens were read off the package.
"""

from __future__ import annotations

import datetime as dt
import re
import unicodedata
from collections.abc import Sequence
from functools import lru_cache
from typing import Annotated, Literal, Self

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    ValidationInfo,
    model_validator,
)

from foods.composition.catalogue import AISLES, ALLERGENS, Catalogue, Role
from foods.composition.unlisted.amino_acids import AMINO_ACIDS
from foods.custom.ingredients import IngredientReading, read_ingredients
from foods.custom.label import Label
from foods.custom.label_checks import LabelFinding, check_label
from foods.registry.errors import FoodError

State = Literal["ready", "liquid", "powder", "frozen", "canned"]
"""How the package holds it: ready to eat, to pour, to spoon dry, to cook from frozen, in a tin."""

OWN_GROUP = "own foods"
"""Variety group of a food that is put in none of the catalogue's."""

_KEY = r"^own(_[a-z0-9]+)+$"


def own_key(name: str) -> str:
    """
    Make the key of a food of one's own from its name.

    Parameters
    ----------
    name : str
        Such as ``Soya drink, fortified``.

    Returns
    -------
    str
        Such as ``own_soya_drink_fortified``; the catalogue's keys never begin so.
    """
    plain = unicodedata.normalize("NFKD", name.lower()).encode("ascii", "ignore").decode()
    words = re.findall(r"[a-z0-9]+", plain)
    return "_".join(["own", *words])[:60].rstrip("_")


def _split(value: object) -> object:
    """Take words between commas or semicolons as well as a list."""
    if isinstance(value, str):
        return tuple(part.strip() for part in re.split(r"[;,]", value) if part.strip())
    return value


def _allergen_words(value: object) -> object:
    parts = _split(value)
    if isinstance(parts, list | tuple):
        return tuple(
            part.strip().lower().replace(" ", "_") if isinstance(part, str) else part
            for part in parts
        )
    return parts


DRAFT = {"draft": True}
"""
Validation context of a food that is still being entered: only its form is checked, so that faults
and questions can be shown beside what was understood. Such a food is never kept or planned with.
"""

Allergens = Annotated[tuple[str, ...], BeforeValidator(_allergen_words)]
Confirmations = Annotated[tuple[str, ...], BeforeValidator(_split)]


class Question(BaseModel):
    """Something only whoever holds the package can say."""

    model_config = ConfigDict(frozen=True)

    code: str
    """What to write under ``confirmed`` to answer yes."""
    text: str


class OwnFood(BaseModel):
    """One food from a package label."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        allow_inf_nan=False,
        str_strip_whitespace=True,
        use_attribute_docstrings=True,
    )

    key: str = Field(default="", pattern=rf"{_KEY}|^$", max_length=60)
    """Begins with ``own_``; made from the name when left out."""
    name: str = Field(min_length=3, max_length=80)
    """What the kitchen calls it, without a brand."""
    entered: dt.date
    """Day the label was read."""
    label: Label
    ingredients: str = Field(default="", max_length=3000)
    """The ingredients as printed, "may contain" included."""
    allergens: Allergens = ()
    """Allergens it contains, in the catalogue's words."""
    traces: Allergens = ()
    """Allergens it may contain."""
    confirmed: Confirmations = ()
    """Answers to questions about this label, by their code."""
    amino_acids_like: str = Field(default="", max_length=80)
    """Food of the table whose protein this one's resembles: catalogue key or table number."""
    state: State = "ready"
    role: Role = "protein"
    group: str = Field(default="", max_length=40)
    """Variety group of the catalogue, such as ``plant milks``."""
    aisle: str = Field(default="", max_length=40)
    pack_g: tuple[Annotated[float, Field(gt=0, le=50_000)], ...] = Field(default=(), max_length=6)
    """Sizes it is sold in; of a drink, millilitres. [g]"""
    measure: str = Field(default="", max_length=30)
    """Household measure, such as ``burger`` or ``tbsp``; a drink is measured by the cup."""
    measure_g: Annotated[float, Field(gt=0, le=2000)] | None = None
    """Weight of one measure. [g]"""
    step: Annotated[float, Field(ge=0.125, le=1, multiple_of=0.125)] | None = None
    """Smallest sensible part of the measure."""
    max_g_day: Annotated[float, Field(gt=0, le=3000)] | None = None
    """Most a person is given in a day. [g]"""
    fridge_days: Annotated[int, Field(ge=1, le=120)] | None = None
    """Days it keeps refrigerated once bought or opened; none when it keeps in a cupboard."""
    freezes: bool = False
    texture: Literal["soft", "crunchy", "crisp", "chewy", "powder", "liquid", "creamy", "juicy"] = (
        "soft"
    )
    heat: int = Field(default=0, ge=0, le=3)
    """Chilli heat, 0 to 3."""
    words: str = Field(default="", max_length=120)
    """Other words it is known by."""

    def __hash__(self) -> int:
        """Hash by content, so that catalogues can be kept by it."""
        return hash(self.model_dump_json())

    @model_validator(mode="before")
    @classmethod
    def _named(cls, data: object) -> object:
        if isinstance(data, dict) and not data.get("key") and isinstance(data.get("name"), str):
            return {**data, "key": own_key(data["name"])}
        return data

    @model_validator(mode="after")
    def _settled(self, info: ValidationInfo) -> Self:
        if info.context == DRAFT:
            return self
        wrong = self.faults
        if wrong:
            raise ValueError(f"{self.name}: {wrong[0]}")
        left = self.open_questions
        if left:
            codes = ", ".join(f'"{question.code}"' for question in left)
            raise ValueError(
                f"{self.name}: {' '.join(question.text for question in left)} To confirm, add "
                f"{codes} to confirmed."
            )
        return self

    @property
    def reading(self) -> IngredientReading:
        """What the ingredients text says."""
        return read_ingredients(self.ingredients)

    @property
    def findings(self) -> tuple[LabelFinding, ...]:
        """What the label's numbers are asked."""
        return check_label(self.label)

    @property
    def faults(self) -> tuple[str, ...]:
        """What cannot be and is no question of confirming."""
        return (
            *_known(self),
            *(finding.text for finding in self.findings if finding.weight == "refuse"),
            *_animal(self.reading),
        )

    @property
    def open_questions(self) -> tuple[Question, ...]:
        """What has to be confirmed about this food and is not."""
        return tuple(q for q in questions(self) if q.code not in self.confirmed)

    @property
    def source(self) -> str:
        """Where its composition comes from."""
        return f"package label, entered {self.entered.isoformat()}"


def _known(food: OwnFood) -> list[str]:
    """Hold words against the lists they come from."""
    faults = []
    if not 2000 <= food.entered.year <= 2100:
        faults.append(f"entered={food.entered} is no day a label was read on; check the year")
    for name in ("allergens", "traces"):
        unknown = [word for word in getattr(food, name) if word not in ALLERGENS]
        if unknown:
            faults.append(
                f"{name}: {unknown[0]!r} is no allergen known here; write {', '.join(ALLERGENS)}"
            )
    animal = [word for word in ("milk", "egg", "fish", "crustaceans") if word in food.allergens]
    if animal:
        faults.append(
            f"allergens: {animal[0]} is of animal origin, so the food cannot be offered; if the "
            "package only may contain it, put it under traces"
        )
    if food.aisle and food.aisle not in AISLES:
        faults.append(f"aisle: {food.aisle!r} is no aisle; choose one of {', '.join(AISLES)}")
    if food.group and food.group not in groups():
        faults.append(
            f"group: {food.group!r} is no food group; choose one of {', '.join(groups())}"
        )
    if (food.measure == "") != (food.measure_g is None):
        faults.append("measure and measure_g belong together, such as burger and 100")
    if not food.measure and food.state not in ("liquid", "powder"):
        faults.append(
            "measure is missing: a cook without scales needs one, such as measure burger with "
            "measure_g 100, or tbsp with its weight"
        )
    if food.measure and not re.match(r"^[A-Za-z][A-Za-z ,-]*$", food.measure):
        faults.append(f"measure: {food.measure!r} should be a word, such as burger, cup or tbsp")
    if food.state == "liquid" and food.label.density_g_per_ml is None and not food.measure:
        faults.append(
            "a drink is measured by the cup: give the label's density_g_per_ml, near 1.03 for plant"
            " drinks, or a measure with its weight"
        )
    if food.amino_acids_like:
        try:
            reference_of(food.amino_acids_like)
        except FoodError as error:
            faults.append(f"amino_acids_like: {error}")
    return faults


def _animal(reading: IngredientReading) -> list[str]:
    if not reading.animal:
        return []
    said = ", ".join(f"“{word}”" for word in reading.animal[:4])
    return [
        f"the ingredients name {said}, which is of animal origin, and only plant foods are offered."
        " Copy nothing but the ingredients; a plant that is called so should be written with its "
        "plant, such as oat cream or vegetable stock"
    ]


def questions(food: OwnFood) -> tuple[Question, ...]:
    """
    List what only whoever holds the package can say.

    Parameters
    ----------
    food : OwnFood

    Returns
    -------
    tuple of Question
        Whether answered or not.
    """
    held = with_families(food.allergens)
    found = [Question(code=f.code, text=f.text) for f in food.findings if f.weight == "ask"]
    if not food.ingredients:
        found.append(
            Question(
                code="plant-based",
                text="No ingredients are given, so nothing shows that it is free of animal "
                "ingredients. Copy them, or confirm that the package says so.",
            )
        )
    elif food.reading.unclear and not food.reading.claims_vegan:
        said = "; ".join(f"{word}: {why}" for word, why in food.reading.unclear)
        found.append(
            Question(
                code="plant-based",
                text=f"Whether it is free of animal ingredients is not clear ({said}). Confirm "
                "that the package or its maker says so.",
            )
        )
    found += [
        Question(
            code=f"no {word}",
            text=f"The ingredients name {word.replace('_', ' ')}, which is not among its allergens."
            " Add it, or confirm that it holds none.",
        )
        for word in food.reading.allergens
        if word not in held
    ]
    found += [
        Question(
            code=f"no trace of {word}",
            text=f"The package may contain {word.replace('_', ' ')}, which is not among its traces."
            " Add it, or confirm that it may not.",
        )
        for word in food.reading.traces
        if word not in with_families(food.traces) and word not in held
    ]
    listed = ", ".join(food.allergens).replace("_", " ") or "none"
    if food.traces:
        listed += f"; traces of {', '.join(food.traces).replace('_', ' ')}"
    found.append(
        Question(
            code="allergens",
            text=f"Allergens ({listed}): confirm that they were read off the package; clients with"
            " an allergy rely on it.",
        )
    )
    return tuple(found)


@lru_cache(maxsize=1)
def groups() -> tuple[str, ...]:
    """
    List the variety groups of the catalogue.

    Returns
    -------
    tuple of str
        In alphabetical order.
    """
    return tuple(sorted({food.group for food in Catalogue.load()}))


def reference_of(text: str) -> tuple[str, str, float | None]:
    """
    Find a food of the table by key, name or number.

    Parameters
    ----------
    text : str

    Returns
    -------
    tuple of (str, str, float or None)
        Its number, its description, the share of its protein that is digested.
    """
    from foods.composition.table import FoodTable

    table = FoodTable.load()
    digestibility: float | None = None
    if text.isdigit():
        ndb = text.zfill(5)
        found = table.food(ndb)
        kitchen = [food for food in Catalogue.load() if food.ndb == ndb]
        digestibility = kitchen[0].digestibility if kitchen else None
    else:
        kitchen_food = Catalogue.load().food(text)
        if kitchen_food.ndb is None:
            raise FoodError(
                f"{text!r} has no row of its own in the release, so its amino acids cannot stand "
                "in for another food's; name a food that has all, such as soy_protein_isolate"
            )
        ndb, digestibility = kitchen_food.ndb, kitchen_food.digestibility
        found = table.food(ndb)
    amounts = table.per_100g(ndb)
    lacking = [key for key in AMINO_ACIDS if key not in amounts]
    if lacking or not amounts.get("protein_g"):
        raise FoodError(
            f"{text!r} ({found.description}) has no values of its own for {len(lacking)} of the "
            f"{len(AMINO_ACIDS)} amino acids; name a food that has all, such as "
            "soy_protein_isolate or tofu_firm_nigari"
        )
    return ndb, found.description, digestibility


def reference_name(food: OwnFood) -> str:
    """
    Name the food of the table whose amino acids stand in.

    Parameters
    ----------
    food : OwnFood

    Returns
    -------
    str
        Description and number; empty when none was named.
    """
    if not food.amino_acids_like:
        return ""
    ndb, description, _ = reference_of(food.amino_acids_like)
    return f"{description} (number {ndb})"


def with_families(allergens: Sequence[str]) -> tuple[str, ...]:
    """
    Add the family an allergen belongs to: grains to gluten, coconut to tree nuts.

    Parameters
    ----------
    allergens : sequence of str

    Returns
    -------
    tuple of str
    """
    found = dict.fromkeys(allergens)
    if {"wheat", "rye", "barley", "oats"} & set(found):
        found["gluten"] = None
    if "coconut" in found:
        found["tree_nut"] = None
    return tuple(found)
