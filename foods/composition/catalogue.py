"""
The kitchen catalogue: foods as people buy and eat them, each with the numbers it rests on.

A food points at one row of the release by its number and adds what a kitchen, a shopping list and
an allergy need. What the release does not list has no number: it ships with a recipe of release
rows or a survey of products (``unlisted`` beside this module), or is a user's own, with what its
label declares (``foods.custom.food``). What belongs in here is reading the table and answering for
one food; what a client's words mean is in ``matching``.

Columns of ``data/catalogue.csv``

key, name, ndb, shop_name
    Stable name in snake case, name with what sets the row apart, number of the row in the release
    (empty when ``data/unlisted_foods.toml`` says what is known of it), and what a shelf calls it.
group, role
    Variety group (``leafy greens``) and part on the plate (``starch``, ``protein`` ...).
state
    How the grams are weighed: ``boiled``, ``raw``, ``canned``; ``dry`` is weighed dry and cooked in
    the dish, as oats, red lentils and flour are.
bought_name, bought_ndb
    Form that is bought and its row, when the release has one.
yield_factor, yield_low, yield_high, yield_source, yield_provenance
    Grams as eaten per gram of the bought form's edible part. Where the release has both rows the
    factor is the ratio of their dry matter, so nutrients are conserved; low and high say what a
    kitchen scale tends to show.
drained_fraction
    Drained solids per gram of can contents; empty when nothing is drained off.
bought_refuse_pct, refuse_provenance
    Share of the bought form thrown away. The release states shells for nuts that are sold shelled
    and parings for potatoes eaten with their skin: those are 0 here.
allergens, label_check
    What the food itself contains, in the words of ``ALLERGENS``, and what the product in the shop
    often contains on top, by recipe or shared line. On doubt an allergen stands under the first.
plant_label
    What of animal origin the product holds in some shops, so that its label has to be read by
    everybody; empty for what is plant-based by nature.
commonly_holds, made_with
    Of ``label_check`` what most products in shops do hold, so that someone allergic to it is given
    others, and keys of the foods a bought one is made with, for who does not eat those (common
    practice: recipes and ingredients lists of such products).
aisle, pack_metric_g, pack_us_g
    Where a shop keeps it and the sizes it is sold in, as bought; sizes are common practice.
measure, measure_g, measure_seq, measure_divisor, measure_provenance
    One household measure. ``measure_seq`` is the sequence number of the release's weight and
    ``measure_divisor`` how many of ours make one of theirs (16 tbsp a cup); both are empty when
    the release has no usable weight and the grams are common practice.
step_fraction, step_g
    Smallest sensible part of the measure, and its grams.
max_g_day, max_reason
    Most of it a person is given in a day; the reason stands where it is more than appetite.
calcium_absorbable_factor
    Calcium counted relative to other plant foods: 0.16 for greens rich in oxalate, else 1.
digestibility, digestibility_class, digestibility_provenance
    Share of the protein digested (true faecal where known), and the food class it was stated for.
fridge_days, freezes
    Days the bought form keeps in a refrigerator (empty: keeps in a cupboard or freezer).
grind, texture, heat, raw_ok, caution
    Whether the seed must be ground, mouthfeel, chilli heat 0 to 3, whether it can be eaten as
    weighed without cooking, and the key of a text in ``data/cautions.csv``.
enriched, fortified
    Whether vitamins were put back after milling, and what was added beyond that.
words
    Other names, British and American, for finding the food.

References
----------
.. [1] US Department of Agriculture, National Nutrient Database for Standard Reference, release
   28: composition, household weights, refuse.
.. [2] Weaver, Proulx and Heaney, Am J Clin Nutr 70(3 Suppl), 1999: calcium absorbed from spinach
   5 %, from milk 32 %.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator, Mapping
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationError

from foods.composition.food_words import normalised
from foods.composition.matching import WordIndex
from foods.composition.unlisted.amino_acids import Imputation, imputed_acids
from foods.composition.unlisted.composition import OwnComposition
from foods.composition.unlisted.recipes import UnlistedCompositions
from foods.registry.errors import FoodError
from foods.registry.typed import LONGEST_WORD

if TYPE_CHECKING:
    from foods.composition.table import FoodTable

Role = Literal[
    "starch", "protein", "vegetable", "fruit", "fat", "flavour", "sweet", "liquid", "topping"
]
Provenance = Literal[
    "published",
    "confirmed by independent transcription",
    "worked by hand",
    "common practice",
    "from memory",
]

ALLERGENS = (
    "wheat", "rye", "barley", "oats", "gluten",
    "soy", "peanut", "tree_nut", "coconut", "sesame",
    "mustard", "celery", "lupin", "sulphites",
    "milk", "egg", "fish", "crustaceans",
)  # fmt: skip
"""
The nine of US law and the plant ones of Annex II of Regulation (EU) 1169/2011. ``gluten`` goes
with wheat, rye, barley and, unless certified, oats; ``tree_nut`` goes with coconut until a client
says that coconut is fine. The last four occur on labels only.
"""

AISLES = (
    "produce", "bakery", "refrigerated", "dry beans & grains", "rice & pasta", "dry goods",
    "breakfast cereal", "baking", "nuts & seeds", "dried fruit", "canned goods", "oils",
    "condiments", "herbs & spices", "spreads", "snacks", "drinks", "frozen",
)  # fmt: skip
"""In the order a shop is walked, frozen last."""


def _blank_is_none(value: object) -> object:
    return None if value == "" else value


def _split(value: object) -> object:
    return tuple(part for part in value.split(";") if part) if isinstance(value, str) else value


Texts = Annotated[tuple[str, ...], BeforeValidator(_split)]
Grams = Annotated[tuple[float, ...], BeforeValidator(_split)]
MaybeInt = Annotated[int | None, BeforeValidator(_blank_is_none)]
MaybeFloat = Annotated[float | None, BeforeValidator(_blank_is_none)]
MaybeNumber = Annotated[
    Annotated[str, Field(pattern=r"^\d{5}$")] | None, BeforeValidator(_blank_is_none)
]


class KitchenFood(BaseModel):
    """One food of the kitchen catalogue; fields as the columns in the head of this module."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    key: str = Field(pattern=r"^[a-z0-9]+(_[a-z0-9]+)*$")
    name: str
    ndb: MaybeNumber
    """Number in the release; None for what it does not list and for a food of the user's own."""
    shop_name: str = Field(min_length=3)
    """What a shelf calls the bought form."""
    group: str
    role: Role
    state: str
    bought_name: str
    bought_ndb: str
    yield_factor: float = Field(gt=0)
    """Eaten per bought, edible part. [g/g]"""
    yield_low: float = Field(gt=0)
    yield_high: float = Field(gt=0)
    yield_source: str
    yield_provenance: Provenance
    drained_fraction: MaybeFloat
    bought_refuse_pct: float = Field(ge=0, lt=100)
    """Thrown away of what is bought. [% by weight]"""
    refuse_provenance: Provenance
    allergens: Texts
    label_check: Texts
    plant_label: Texts = ()
    """Of animal origin in some products, in words such as ``honey``; read the label for it."""
    commonly_holds: Texts = ()
    """Of ``label_check`` what most products do hold."""
    made_with: Texts = ()
    """Keys of foods it is made with, where those are not eaten by everybody."""
    aisle: str
    pack_metric_g: Grams
    pack_us_g: Grams
    measure: str
    measure_g: float = Field(gt=0)
    """Weight of one household measure. [g]"""
    measure_seq: MaybeInt
    measure_divisor: MaybeFloat
    measure_provenance: Provenance
    step_fraction: float = Field(gt=0)
    step_g: float = Field(gt=0)
    """Smallest amount added or taken away. [g]"""
    max_g_day: float = Field(gt=0)
    """Daily ceiling. [g]"""
    max_reason: str
    calcium_absorbable_factor: float = Field(gt=0, le=1)
    digestibility: float = Field(gt=0, le=1)
    digestibility_class: str
    digestibility_provenance: Provenance
    fridge_days: MaybeInt
    freezes: bool
    grind: str
    texture: str
    heat: int = Field(ge=0, le=3)
    raw_ok: bool
    caution: str
    enriched: bool
    fortified: Texts
    words: str

    @property
    def caution_text(self) -> str:
        """The caution in words, or nothing."""
        return CAUTIONS[self.caution] if self.caution else ""

    def bought_g(self, eaten_g: float) -> float:
        """
        Say how much to buy for an amount eaten.

        Parameters
        ----------
        eaten_g : float
            Amount as eaten. [g]

        Returns
        -------
        float
            Amount of the bought form, with what is thrown away. [g]
        """
        return eaten_g / self.yield_factor / (1 - self.bought_refuse_pct / 100)


def _rows(name: str) -> list[dict[str, str]]:
    text = files("foods").joinpath("data", name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


CAUTIONS: Mapping[str, str] = MappingProxyType(
    {row["key"]: row["text"] for row in _rows("cautions.csv")}
)
"""What the cook or the client must know, by the key in the table."""


class Catalogue:
    """
    Every kitchen food, in the order of the table, foods of one's own last.

    Parameters
    ----------
    foods : iterable of KitchenFood
        Keys and release numbers must not repeat.
    imputations : iterable of Imputation
        Amino acids filled from a reference food.
    own : mapping of str to OwnComposition
        Composition of every food without a release number, by its key.
    made_of : mapping of str to tuple of frozenset of str
        For foods from a label, by key: the keys each of their ingredients may mean.

    Raises
    ------
    FoodError
        A key or number occurs twice, or a food has neither a number nor a composition.
    """

    def __init__(
        self,
        foods: Iterable[KitchenFood],
        imputations: Iterable[Imputation] = (),
        own: Mapping[str, OwnComposition] = MappingProxyType({}),
        made_of: Mapping[str, tuple[frozenset[str], ...]] = MappingProxyType({}),
    ) -> None:
        self.foods = tuple(foods)
        self.imputations = tuple(imputations)
        self.own = own
        self._made_of = made_of
        self._by_key = {food.key: food for food in self.foods}
        self._by_ndb = {food.ndb: food for food in self.foods if food.ndb is not None}
        unnumbered = {food.key for food in self.foods if food.ndb is None}
        if not len(self._by_key) == len(self._by_ndb) + len(unnumbered) == len(self.foods):
            raise FoodError(
                "the catalogue repeats a key or a release number: each food needs its own, "
                "because plans are recomputed by number"
            )
        if unnumbered != set(self.own):
            raise FoodError(
                "a food without a release number needs a composition of its own, and no other: "
                + ", ".join(sorted(unnumbered ^ set(self.own)))
            )
        self._by_name = {
            normalised(text): food
            for food in reversed(self.foods)
            for text in (food.key, food.name.partition(",")[0], food.name)
        }

    @classmethod
    def load(cls) -> Catalogue:
        """
        Load the catalogue that ships with the package, once a process.

        Returns
        -------
        Catalogue
        """
        return _shipped()

    def __len__(self) -> int:
        """Count the foods."""
        return len(self.foods)

    def __iter__(self) -> Iterator[KitchenFood]:
        """Go through the foods in order."""
        return iter(self.foods)

    def __contains__(self, key: object) -> bool:
        """Say whether a key is in the catalogue."""
        return key in self._by_key

    def food(self, text: str) -> KitchenFood:
        """
        Look up one food by its key or its plain name.

        Parameters
        ----------
        text : str
            Such as ``tofu_firm_calcium`` or ``Rolled oats``.

        Returns
        -------
        KitchenFood

        Raises
        ------
        FoodError
            Nothing has this name; the message offers near ones.
        """
        found = self._by_key.get(text) or self._by_name.get(normalised(text))
        if found is None:
            raise FoodError(
                f"no kitchen food is called {text!r}: {self._nearest(text)}"
                " Keys are listed in foods/data/catalogue.csv."
            )
        return found

    def by_ndb(self, ndb: str) -> KitchenFood:
        """
        Look up one food by its number in the release.

        Parameters
        ----------
        ndb : str
            Number in the release.

        Raises
        ------
        FoodError
            The number is not in the catalogue, though it may be in the food table.
        """
        found = self._by_ndb.get(ndb)
        if found is None:
            raise FoodError(
                f"number {ndb!r} is not a kitchen food: dishes and plans use catalogue foods only, "
                "because others have no kitchen measure; choose one of the catalogue"
            )
        return found

    def per_100g(self, key: str, table: FoodTable) -> dict[str, float]:
        """
        Give the composition of one food, from the table or from its label.

        Parameters
        ----------
        key : str
            Of a food of this catalogue.
        table : FoodTable

        Returns
        -------
        dict of str to float
            Nutrient key to amount per 100 g; what was not measured or declared is absent.
        """
        ndb = self.food(key).ndb
        return dict(self.own[key].per_100g) if ndb is None else table.per_100g(ndb)

    def match(self, text: str, *, strict: bool = False) -> tuple[KitchenFood, ...]:
        """
        Find every food a client's word may mean; on doubt it is included.

        Parameters
        ----------
        text : str
            A key, name, allergen, group or ordinary word, singular or plural, British or American:
            ``mushrooms``, ``nuts``, ``gluten``, ``coriander``, ``aubergine``. A food from a label
            is found by its ingredients as well: one of pea protein is a legume.
        strict : bool
            True adds foods whose shop product often carries the allergen.

        Returns
        -------
        tuple of KitchenFood
            In catalogue order; empty for foods of animals, which the catalogue never holds.

        Raises
        ------
        FoodError
            The word means nothing here; the message offers near ones.
        """
        keys = self._words.match(text, strict=strict)
        keys |= {key for key, parts in self._made_of.items() if _is_made_of(parts, keys)}
        return tuple(food for food in self.foods if food.key in keys)

    def label_words(self, text: str) -> frozenset[str]:
        """
        Find the allergens a client's word makes one look for on labels.

        Parameters
        ----------
        text : str
            As for :meth:`match`.

        Returns
        -------
        frozenset of str
            Of :data:`ALLERGENS`.

        Raises
        ------
        FoodError
            The word means nothing here.
        """
        return self._words.label_words(text)

    def imputed_amino_acids(self, table: FoodTable) -> dict[str, dict[str, float]]:
        """
        Work out the imputed amino acids of foods of the release.

        Parameters
        ----------
        table : FoodTable
            Composition.

        Returns
        -------
        dict of str to dict of str to float
            Release number to nutrient key to amount per 100 g.
        """
        return imputed_acids(self.imputations, table)

    def named(self, text: str) -> frozenset[str]:
        """
        Find the keys of foods that are called by a phrase.

        Parameters
        ----------
        text : str

        Returns
        -------
        frozenset of str
        """
        return self._words.named(text)

    @property
    def _words(self) -> WordIndex:
        return _word_index(self)

    def _nearest(self, text: str) -> str:
        near = get_close_matches(normalised(text)[:LONGEST_WORD], self._by_name, n=3, cutoff=0.6)
        if not near:
            return "nothing comes near."
        names = dict.fromkeys(f"{self._by_name[other].key}" for other in near)
        return f"did you mean {', '.join(names)}?"


def _is_made_of(parts: Iterable[frozenset[str]], keys: frozenset[str]) -> bool:
    """Say whether an ingredient's name means, in most readings, foods among these keys."""
    return any(2 * len(meant & keys) >= len(meant) for meant in parts)


@cache
def _word_index(catalogue: Catalogue) -> WordIndex:
    return WordIndex(catalogue.foods)


@cache
def _shipped() -> Catalogue:
    foods = []
    for line, row in enumerate(_rows("catalogue.csv"), start=2):
        try:
            foods.append(KitchenFood.model_validate(row))
        except ValidationError as error:
            first = error.errors()[0]
            raise FoodError(
                f"catalogue.csv line {line} ({row.get('key')}): {first['loc'][0]}="
                f"{first['input']!r}: {first['msg']}; see the columns in "
                "foods/composition/catalogue.py"
            ) from None
    rows = _rows("imputed_amino_acids.csv")
    imputations = tuple(Imputation.model_validate(row) for row in rows)
    return Catalogue(foods, imputations, UnlistedCompositions(imputations))
