"""
What people say they ate: everyday names, what stands behind each, and how much of it is usual.

Energy always rests on a row of the release or on foods of the catalogue; where a name covers many
recipes (``stew``, ``sandwich``), a plain one is written out and its spread is wide. Portions and
household measures are common practice unless the catalogue has them from the release.

Columns of ``data/as_eaten.csv``

names
    Everyday names, most usual first.
kind
    Row of ``data/eaten_kinds.csv``: measures shared by all of a kind, how far the composition
    varies, and how far a portion that nobody measured does. [%]
of
    Number in the release, a catalogue key, or a recipe such as ``60 pita_white + 85 16138``. [g]
usual_g, low_g, high_g
    A portion where nothing was said about the amount. [g]
measures
    Grams of one piece (``each``), slice, cup, bowl ...; those of the kind where left out.
beside
    Grams where it is eaten with something else; may differ by what that is (``hot drink=30``).
allergens
    What it holds in any usual recipe.
inside
    What becomes of foods said to be in it: ``swallow`` counts them as part of it, a recipe stands
    for what is left when they are counted by themselves, ``none`` for nothing being left, and
    ``adds`` counts them beside it; stews and soups swallow where left out, the others add.

Columns of ``data/eaten_modifiers.csv``, words that make another food of one

sort
    What it does, in a word; a food whose own name says as much is left as it is.
words
    As they are said.
kinds
    Kinds of food it does this to, ``*`` for those no other row of the sort names.
times, times_low, times_high
    What it multiplies the energy of the food by, and the ends of that.
add_kcal, add_low_kcal, add_high_kcal
    What it adds to 100 g, and its ends: fat taken up, sugar, crumbs. [kcal/100 g]
provenance
    ``worked by hand`` from pairs of the release (tofu 144, fried 270; cola 42, energy drink 43,
    without sugar 4; milk 61, skimmed 34; mayonnaise 680, light 238; dried apricots to fresh), or
    ``common practice``.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from foods.composition.catalogue import Catalogue
from foods.composition.table import FoodTable
from foods.registry.errors import FoodError


@dataclass(frozen=True)
class EatenKind:
    """What all foods of one kind share."""

    name: str
    measures: Mapping[str, float]
    """Household measure to grams. [g]"""
    composition_fraction: float
    """How far energy per gram varies either way."""
    portion_fraction: float
    """How far a portion varies either way."""


@dataclass(frozen=True)
class AsEaten:
    """Something people eat, under its everyday names."""

    names: tuple[str, ...]
    kind: EatenKind
    of: tuple[tuple[str, float], ...]
    """Catalogue key or release number to grams in one part of the recipe. [g]"""
    usual_g: float
    low_g: float
    high_g: float
    measures: Mapping[str, float]
    beside: Mapping[str, float]
    """Kind it is eaten with, ``*`` for any, to grams. [g]"""
    allergens: tuple[str, ...]
    swallows: bool
    """True counts foods said to be in it as part of it."""
    rest: tuple[tuple[str, float], ...] | None
    """What is left when the foods said to be in it count by themselves; None where they add."""


@dataclass(frozen=True)
class EatenModifier:
    """A word that makes another food of one: fried, sugar free, creamy."""

    sort: str
    words: tuple[str, ...]
    kinds: frozenset[str]
    """Kinds of food it is for; empty for all that no other row of the sort names."""
    times: tuple[float, float, float]
    """Middle, low and high of what the energy is multiplied by."""
    add_kcal: tuple[float, float, float]
    """Middle, low and high of what is added. [kcal/100 g]"""


def _pairs(text: str) -> dict[str, float]:
    found = {}
    for part in filter(None, text.split(";")):
        name, _, grams = part.partition("=")
        found[name.strip()] = float(grams)
    return found


def recipe(text: str) -> tuple[tuple[str, float], ...]:
    """
    Read what stands behind a name.

    Parameters
    ----------
    text : str
        ``21299``, ``banana`` or ``60 pita_white + 85 16138``.

    Returns
    -------
    tuple of (str, float)
        Catalogue key or release number with its grams; 100 g where one stands alone.
    """
    found = []
    for part in text.split(" + "):
        grams, _, key = part.strip().rpartition(" ")
        found.append((key, float(grams) if grams else 100.0))
    return tuple(found)


def _rows(name: str) -> list[dict[str, str]]:
    text = files("foods").joinpath("data", name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


@cache
def eaten_kinds() -> Mapping[str, EatenKind]:
    """
    Load the kinds of foods by their name.

    Returns
    -------
    mapping
    """
    return {
        row["kind"]: EatenKind(
            row["kind"],
            _pairs(row["measures"]),
            float(row["composition_percent"]) / 100,
            float(row["portion_percent"]) / 100,
        )
        for row in _rows("eaten_kinds.csv")
    }


@cache
def eaten_modifiers() -> tuple[EatenModifier, ...]:
    """
    Load the words that make another food of one.

    Returns
    -------
    tuple of EatenModifier
        Those for some kinds of food before those for all others.
    """
    found = [
        EatenModifier(
            row["sort"],
            tuple(row["words"].split(";")),
            frozenset() if row["kinds"] == "*" else _kinds_of(row["kinds"]),
            (float(row["times"]), float(row["times_low"]), float(row["times_high"])),
            (float(row["add_kcal"]), float(row["add_low_kcal"]), float(row["add_high_kcal"])),
        )
        for row in _rows("eaten_modifiers.csv")
    ]
    return tuple(sorted(found, key=lambda one: not one.kinds))


def _kinds_of(text: str) -> frozenset[str]:
    """Read names of kinds with spaces between, some of which are two words."""
    names = sorted(eaten_kinds(), key=len, reverse=True)
    found = set()
    for name in names:
        if f" {name} " in f" {text} ":
            found.add(name)
            text = f" {text} ".replace(f" {name} ", " ").strip()
    if text:
        raise FoodError(f"eaten_modifiers.csv: {text!r} is no kind; see eaten_kinds.csv")
    return frozenset(found)


@cache
def as_eaten() -> tuple[AsEaten, ...]:
    """
    Load what people say they ate.

    Returns
    -------
    tuple of AsEaten

    Raises
    ------
    FoodError
        When a row names a kind that does not exist.
    """
    kinds = eaten_kinds()
    found = []
    for row in _rows("as_eaten.csv"):
        kind = kinds.get(row["kind"])
        if kind is None:
            raise FoodError(
                f"as_eaten.csv: {row['kind']!r} is no kind; the kinds stand in eaten_kinds.csv"
            )
        beside = row["beside"] or row["usual_g"]
        inside = row["inside"]
        found.append(
            AsEaten(
                names=tuple(row["names"].split(";")),
                kind=kind,
                of=recipe(row["of"]),
                usual_g=float(row["usual_g"]),
                low_g=float(row["low_g"]),
                high_g=float(row["high_g"]),
                measures={**kind.measures, **_pairs(row["measures"])},
                beside=_pairs(beside) if "=" in beside else {"*": float(beside)},
                allergens=tuple(filter(None, row["allergens"].split(";"))),
                swallows=inside == "swallow" or (not inside and kind.name in ("stew", "soup")),
                rest=_rest(inside),
            )
        )
    return tuple(found)


def _rest(inside: str) -> tuple[tuple[str, float], ...] | None:
    if inside in ("", "swallow", "adds"):
        return None
    return () if inside == "none" else recipe(inside)


@cache
def _other_energies() -> Mapping[str, float]:
    return {row["ndb"]: float(row["energy_kcal"]) for row in _rows("energies.csv")}


def energy_of(parts: tuple[tuple[str, float], ...], catalogue: Catalogue) -> float:
    """
    Work out the energy of a recipe.

    Parameters
    ----------
    parts : tuple of (str, float)
        Catalogue key or release number with its grams. [g]
    catalogue : Catalogue

    Returns
    -------
    float
        [kcal/100 g]

    Raises
    ------
    FoodError
        When a number is not in the release.
    """
    table = FoodTable.load()
    energy = 0.0
    for key, grams in parts:
        if key in catalogue:
            per_100g = catalogue.per_100g(key, table)["energy_kcal"]
        elif key in _other_energies():
            per_100g = _other_energies()[key]
        elif key in table:
            per_100g = table.per_100g(key)["energy_kcal"]
        else:
            raise FoodError(f"{key!r} is neither a food of the catalogue nor of the release")
        energy += grams * per_100g / 100
    return 100 * energy / sum(grams for _, grams in parts)


@cache
def elsewhere() -> Mapping[str, tuple[str, ...]]:
    """
    Load everyday names in other languages.

    Returns
    -------
    mapping
        English name to German, French, Spanish, Dutch and other words for it.
    """
    return {
        row["english"]: tuple(filter(None, row["words"].split(";")))
        for row in _rows("eaten_elsewhere.csv")
    }


@dataclass(frozen=True)
class EatenSense:
    """One of several foods a word may name, and the words that tell it."""

    sense: str
    told_by: frozenset[str]
    decided_by: frozenset[str]
    """Words that leave no other sense."""


@cache
def eaten_senses() -> Mapping[str, tuple[EatenSense, ...]]:
    """
    Load the words that name several foods, depending on what is said beside them.

    Returns
    -------
    mapping
        Word to its senses, the likelier first where nothing tells.
    """
    found: dict[str, tuple[EatenSense, ...]] = {}
    for row in _rows("eaten_senses.csv"):
        words, firm = row["told_by"].split(), row["decided_by"].split()
        sense = EatenSense(row["sense"], frozenset(words), frozenset(firm))
        found[row["word"]] = (*found.get(row["word"], ()), sense)
    return found
