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
import tomllib
import unicodedata
from collections import ChainMap
from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Annotated, Literal, Self

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    ValidationError,
    ValidationInfo,
    model_validator,
)

from foods.catalogue import AISLES, ALLERGENS, Catalogue, KitchenFood, Role
from foods.custom.ingredients import IngredientReading, ingredient_names, read_ingredients
from foods.custom.label import NITROGEN_FACTOR, Label, read_label
from foods.custom.label_checks import LabelFinding, check_label
from foods.registry.errors import FoodError
from foods.registry.typed import check_toml
from foods.unlisted.amino_acids import AMINO_ACID_PAIRS, AMINO_ACIDS, DEFAULT_NITROGEN_FACTOR
from foods.unlisted.composition import OwnComposition

State = Literal["ready", "liquid", "powder", "frozen", "canned"]
"""How the package holds it: ready to eat, to pour, to spoon dry, to cook from frozen, in a tin."""

CUP_ML = 240.0
"""[ml] (21 CFR 101.9(b)(5)(viii))"""

USUAL_MOST_G: dict[State, float] = {
    "ready": 300, "liquid": 750, "powder": 60, "frozen": 300, "canned": 300,
}  # fmt: skip
"""Most a person is given in a day where nothing is said (common practice). [g]"""

USUAL_AISLE: dict[State, str] = {
    "ready": "refrigerated", "liquid": "drinks", "powder": "dry goods", "frozen": "frozen",
    "canned": "canned goods",
}  # fmt: skip

USUAL_STEP = {"cup": 0.25, "scoop": 0.5, "block": 0.25, "piece": 0.5}
"""Smallest sensible part of a measure where nothing is said; whole burgers, slices and spoons."""

OWN_GROUP = "own foods"
"""Variety group of a food that is put in none of the catalogue's."""

_STATES: dict[State, str] = {"powder": "dry"}
"""The catalogue's word for a state, where it differs."""

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
            _reference(food.amino_acids_like)
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
    held = _with_families(food.allergens)
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
        if word not in _with_families(food.traces) and word not in held
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


def _reference(text: str) -> tuple[str, str, float | None]:
    """Find a food of the table by key, name or number: its number, description, digestibility."""
    from foods.table import FoodTable

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
    ndb, description, _ = _reference(food.amino_acids_like)
    return f"{description} (number {ndb})"


def imputed_amino_acids(food: OwnFood) -> dict[str, float]:
    """
    Scale a reference food's amino acids to a label's protein.

    Parameters
    ----------
    food : OwnFood

    Returns
    -------
    dict of str to float
        Nutrient key to amount per 100 g, the pairs included: the reference's amount per gram of
        nitrogen times the nitrogen behind the declared protein. Empty when no reference is named.
    """
    if not food.amino_acids_like:
        return {}
    ndb, _, _ = _reference(food.amino_acids_like)
    from foods.table import FoodTable

    table = FoodTable.load()
    amounts = table.per_100g(ndb)
    factor = table.food(ndb).nitrogen_factor or DEFAULT_NITROGEN_FACTOR
    nitrogen = read_label(food.label).per_100g["protein_g"] / NITROGEN_FACTOR
    scale = nitrogen / (amounts["protein_g"] / factor)
    found = {key: amounts[key] * scale for key in AMINO_ACIDS}
    for pair, members in AMINO_ACID_PAIRS.items():
        found[pair] = sum(found[member] for member in members)
    return found


@lru_cache(maxsize=512)
def named_ingredients(ingredients: str) -> tuple[str, ...]:
    """
    Find the foods of the catalogue that an ingredients list names.

    Parameters
    ----------
    ingredients : str
        As printed.

    Returns
    -------
    tuple of str
        In the list's own words; whoever avoids one of them is not served the food.
    """
    return ingredient_names(ingredients, lambda phrase: bool(_catalogue_keys(phrase)))


@lru_cache(maxsize=4096)
def _catalogue_keys(phrase: str) -> frozenset[str]:
    return Catalogue.load().named(phrase)


def composition(food: OwnFood) -> OwnComposition:
    """
    Say what is known of a food of one's own.

    Parameters
    ----------
    food : OwnFood

    Returns
    -------
    OwnComposition
    """
    reading = read_label(food.label)
    return OwnComposition(
        per_100g=reading.per_100g,
        sd_per_100g=reading.sd_per_100g,
        imputed_per_100g=imputed_amino_acids(food),
        source=food.source,
    )


MIXED_DIGESTIBILITY = 0.85
"""Of the protein of a mixed plant food where no reference food is named; as the catalogue's."""


def kitchen_food(food: OwnFood) -> KitchenFood:
    """
    Make the catalogue's record of a food of one's own.

    Parameters
    ----------
    food : OwnFood

    Returns
    -------
    KitchenFood
        Bought as it is eaten: a label states the food as sold, so nothing is lost or taken up.
    """
    digestibility = None
    if food.amino_acids_like:
        digestibility = _reference(food.amino_acids_like)[2]
    measure, measure_g, step = _measure(food)
    most = food.max_g_day if food.max_g_day is not None else USUAL_MOST_G[food.state]
    return KitchenFood(
        key=food.key,
        name=food.name,
        ndb=None,
        shop_name=food.name,
        group=food.group or OWN_GROUP,
        role=food.role,
        state=_STATES.get(food.state, food.state),
        bought_name=food.name,
        bought_ndb="",
        yield_factor=1,
        yield_low=1,
        yield_high=1,
        yield_source="as sold, which is what a label states",
        yield_provenance="common practice",
        drained_fraction=None,
        bought_refuse_pct=0,
        refuse_provenance="common practice",
        allergens=_with_families(food.allergens),
        label_check=tuple(word for word in food.traces if word not in food.allergens),
        aisle=food.aisle or USUAL_AISLE[food.state],
        pack_metric_g=food.pack_g,
        pack_us_g=food.pack_g,
        measure=measure,
        measure_g=measure_g,
        measure_seq=None,
        measure_divisor=None,
        measure_provenance="common practice",
        step_fraction=step,
        step_g=step * measure_g,
        max_g_day=max(most, step * measure_g),
        max_reason="",
        calcium_absorbable_factor=1,
        digestibility=digestibility or MIXED_DIGESTIBILITY,
        digestibility_class="reference food" if digestibility else "mixed",
        digestibility_provenance="common practice",
        fridge_days=food.fridge_days,
        freezes=food.freezes or food.state == "frozen",
        grind="",
        texture={"liquid": "liquid", "powder": "powder"}.get(food.state, food.texture),
        heat=food.heat,
        raw_ok=food.state in ("liquid", "powder", "canned", "ready"),
        caution="shake"
        if food.state == "liquid" and food.label.amounts | food.label.percent
        else "",
        enriched=False,
        fortified=(),
        words=food.words,
    )


def _measure(food: OwnFood) -> tuple[str, float, float]:
    """Give the household measure, its weight and its smallest part, in grams."""
    if food.measure and food.measure_g is not None:
        word = food.measure.partition(",")[0]
        return food.measure, food.measure_g, food.step or USUAL_STEP.get(word, 1.0)
    if food.state == "liquid":
        return "cup", CUP_ML * (food.label.density_g_per_ml or 1.0), food.step or 0.25
    # A spoon of powder weighs about half of what the same volume of water does.
    return "tbsp", 7.5, food.step or 1.0


def _with_families(allergens: Sequence[str]) -> tuple[str, ...]:
    """Add the family an allergen belongs to: grains to gluten, coconut to tree nuts."""
    found = dict.fromkeys(allergens)
    if {"wheat", "rye", "barley", "oats"} & set(found):
        found["gluten"] = None
    if "coconut" in found:
        found["tree_nut"] = None
    return tuple(found)


@lru_cache(maxsize=64)
def _catalogue_with(own: tuple[OwnFood, ...]) -> Catalogue:
    shipped = Catalogue.load()
    if not own:
        return shipped
    keys = [food.key for food in own]
    doubled = sorted({key for key in keys if keys.count(key) > 1})
    if doubled:
        raise FoodError(f"two foods of your own are called {doubled[0]}; give one another name")
    names = {food.bought_name.casefold() for food in shipped}
    made = []
    for food in own:
        record = kitchen_food(food)
        if record.bought_name.casefold() in names:  # the shopping list must not mix them up
            record = record.model_copy(update={"bought_name": f"{food.name} (own label)"})
        names.add(record.bought_name.casefold())
        made.append(record)
    return Catalogue(
        (*shipped.foods, *made),
        shipped.imputations,
        ChainMap({food.key: composition(food) for food in own}, shipped.own),  # type: ignore[arg-type]
        {food.key: _made_of(food) for food in own},
    )


def _made_of(food: OwnFood) -> tuple[frozenset[str], ...]:
    """Give the keys each ingredient may mean, where one is called as foods of the catalogue are."""
    return tuple(_catalogue_keys(name) for name in named_ingredients(food.ingredients))


def catalogue_with(own: Iterable[OwnFood]) -> Catalogue:
    """
    Put foods of one's own behind those that ship.

    Parameters
    ----------
    own : iterable of OwnFood

    Returns
    -------
    Catalogue
        The same one each time for the same foods; the shipped one for none.

    Raises
    ------
    FoodError
        Two foods share a key.
    """
    return _catalogue_with(tuple(own))


def missing_of(food: OwnFood, wanted: Iterable[str]) -> tuple[str, ...]:
    """
    List nutrients a label says nothing about.

    Parameters
    ----------
    food : OwnFood
    wanted : iterable of str
        Nutrient keys that matter.

    Returns
    -------
    tuple of str
        In the order given.
    """
    declared = read_label(food.label).per_100g
    return tuple(key for key in wanted if key not in declared)


def parse_own_foods(text: str, where: str = "own foods") -> tuple[OwnFood, ...]:
    """
    Read foods of one's own from TOML text with one ``[[food]]`` table each.

    Parameters
    ----------
    text : str
        TOML document.
    where : str
        Name used in messages, usually the file name.

    Returns
    -------
    tuple of OwnFood
        In file order.

    Raises
    ------
    FoodError
        When the text is not TOML, or a food cannot be or leaves a question open.
    """
    check_toml(text, where)
    try:
        document = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise FoodError(
            f"{where} is not valid TOML: {error}. Mend that line and load it again."
        ) from None
    tables = document.get("food")
    if not isinstance(tables, list) or not tables:
        raise FoodError(
            f"{where} holds no [[food]] table; `mealplan example foods` prints one to start from"
        )
    found = []
    for number, table in enumerate(tables, start=1):
        label = table.get("name", f"number {number}") if isinstance(table, dict) else number
        try:
            found.append(OwnFood.model_validate(table))
        except ValidationError as error:
            said = plain_fault(error)
            who = "" if said.startswith(f"{label}: ") else f"food {label}: "
            raise FoodError(f"{where}: {who}{said}") from None
    check_new(found, where)
    return tuple(found)


def check_new(foods: Sequence[OwnFood], where: str = "own foods") -> None:
    """
    Refuse foods that could not be told apart.

    Parameters
    ----------
    foods : sequence of OwnFood
        All foods of one's own that are in use together.
    where : str
        Name used in messages.

    Raises
    ------
    FoodError
        Two share a key or a name, or one is called as a food that ships.
    """
    shipped = {food.name.casefold() for food in Catalogue.load()}
    seen: set[str] = set()
    keys: set[str] = set()
    for food in foods:
        name = food.name.casefold()
        if name in shipped:
            raise FoodError(
                f"{where}: {food.name!r} is already the name of a food here; add a word to yours, "
                "such as what sets it apart"
            )
        if food.key in keys or name in seen:
            raise FoodError(f"{where}: two foods are called {food.name!r}; give one another name")
        seen.add(name)
        keys.add(food.key)


def plain_fault(error: ValidationError) -> str:
    """
    Say the first thing a food or dish was refused for, in one line.

    Parameters
    ----------
    error : ValidationError

    Returns
    -------
    str
        The field, what was given and how to mend it.
    """
    first = error.errors()[0]
    place = ".".join(str(part) for part in first["loc"])
    said = first["msg"].removeprefix("Value error, ")
    if first["type"] == "missing":
        return f"{place} is missing; copy it from the package"
    if first["type"] == "extra_forbidden":
        return f"{place} is no field of a food; see the example for those there are"
    if first["type"] == "value_error":
        return f"{place + ': ' if place and not said.startswith(place) else ''}{said}"
    return f"{place}={str(first['input'])[:40]!r}: {said[:1].lower() + said[1:]}"
