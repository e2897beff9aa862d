"""
Whether a dish would taste of something and fit its pans: what a cook would mend before printing it.

Salt and acid by weight, water by grain, fat by pan, size of vessel, what may be kept warm again,
and words that name a food the dish does not hold.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cache

from foods.composition.catalogue import Catalogue
from foods.dishes.actions import HOT, vessels
from foods.dishes.craft import craft_faults
from foods.dishes.line import DishLine
from foods.dishes.minutes import DRAINS, FILL, water_of
from foods.dishes.model import Dish
from foods.dishes.process import faults_of, line_start
from foods.dishes.taste import taste_faults, tastes_of
from foods.dishes.treatments import water_per_g
from foods.dishes.walk import MINOR, Moment, Served, role_of, walk

FAT_PER_PAN = 0.02
"""Least fat by weight of what is browned or softened. [g/g]"""
WATER_LOW = 0.8
"""Least liquid for a grain, as a share of what its treatment calls for. [1]"""
OPEN = frozenset({"simmer", "cook"})
"""Verbs that boil without a lid."""
SIMMERS_AWAY_ML_PER_MIN = 3.0
"""Lost at a simmer from a pot for one, a lid half on; common practice. [ml/min]"""
DRAINED_LEAST_ML_PER_G = {True: 4.0, False: 1.0}
"""Least water for what is boiled and drained, from dry or fresh. [ml/g]"""


def safety_faults(dish: Dish, catalogue: Catalogue) -> list[str]:
    """
    List what could hurt or stay inedible: the proof, water, what is kept, words.

    Parameters
    ----------
    dish : Dish
        With steps.
    catalogue : Catalogue

    Returns
    -------
    list of str
        Empty when nothing; no dish loads, one's own included, while it is not.
    """
    faults: list[str] = []
    water: list[str] = []
    for served in _servings(dish):
        lacking, moments = faults_of(dish.lines, dish.steps, catalogue, served)
        faults += lacking
        if not lacking:
            water += _water(dish, moments, catalogue)
    if not faults:
        faults += [*water, *_kept(dish, moments, catalogue), *_words(dish, catalogue)]
    return list(dict.fromkeys(faults))


def all_faults(dish: Dish, catalogue: Catalogue) -> list[str]:
    """
    List everything a cook would mend in a dish that ships: safety first, then taste and pans.

    Parameters
    ----------
    dish : Dish
        With steps.
    catalogue : Catalogue

    Returns
    -------
    list of str
    """
    faults = safety_faults(dish, catalogue)
    if faults:
        return faults
    faults = taste_faults(dish, catalogue)
    for served in _servings(dish):
        moments = walk(dish.lines, dish.steps, served)
        faults += _fat(dish, moments, catalogue)
        faults += _size(dish, moments)
        faults += craft_faults(dish, moments, catalogue)
    return list(dict.fromkeys(faults))


def _servings(dish: Dish) -> tuple[Served, Served]:
    """Give the two ways to serve a dish that are checked: bare and with every add-on."""
    return frozenset(line.food for line in dish.lines if not line.optional), None


def _water(dish: Dish, moments: Collection[Moment], catalogue: Catalogue) -> list[str]:
    """Hold what is cooked from dry against the liquid it is given."""
    lines = {line.called: line for line in dish.lines}
    moist: dict[str, float] = {}
    faults = []
    for moment in moments:
        liquid = sum(
            lines[name].typical_g * share * _wet(lines[name].food)
            for name, share in moment.holds.items()
            if name in lines
        )
        moist[moment.vessel] = moist.get(moment.vessel, 0.0) + water_of(moment, lines, 1)
        for source in moment.sources:
            moist[moment.vessel] += moist.pop(source, 0.0)
        if moment.way not in ("boil", "steep", "hard boil"):
            continue
        asked = sum(
            water_per_g(catalogue.food(lines[name].food), moment.way)
            * lines[name].typical_g * share / catalogue.food(lines[name].food).yield_factor
            for name, share in moment.holds.items()
            if line_start(lines[name], catalogue.food(lines[name].food)) == "dried"
        )  # fmt: skip
        first = any(
            line_start(lines[p.name], catalogue.food(lines[p.name].food)) == "dried"
            for p in moment.take
            if p.name in lines
        )
        have = liquid + moist[moment.vessel]
        if moment.verb.key in OPEN:
            have -= SIMMERS_AWAY_ML_PER_MIN * moment.step.min
        if first and asked and have < WATER_LOW * asked:
            names = ", ".join(p.name for p in moment.take if p.name in lines)
            faults.append(
                f"{names}: {have:.0f} ml of liquid for what calls for {asked:.0f} ml; add water"
            )
    return faults


def _wet(food: str) -> float:
    return 0.9 if "moist" in tastes_of().get(food, ()) else 0.0


def _fat(dish: Dish, moments: Collection[Moment], catalogue: Catalogue) -> list[str]:
    lines = {line.called: line for line in dish.lines}
    faults = []
    for moment in moments:
        if moment.way != "fry" or moment.verb.key == "stir in":
            continue
        fat = solids = 0.0
        for name, share in moment.holds.items():
            food = catalogue.food(lines[name].food)
            grams = lines[name].typical_g * share
            solids += grams
            fat += grams if food.role == "fat" else 0.0
            fat += 0.3 * grams if food.role == "topping" else 0.0
        if solids and fat < FAT_PER_PAN * solids:
            names = ", ".join(moment.holds)
            faults.append(
                f"{fat:.1f} g of fat for {solids:.0f} g in the {moment.vessel} ({names}): give it "
                f"{FAT_PER_PAN * solids:.0f} g or more"
            )
    return faults


def _size(dish: Dish, moments: Collection[Moment]) -> list[str]:
    lines = {line.called: line for line in dish.lines}
    faults = []
    for moment in moments:
        if moment.step.each or moment.vessel == "plate":
            continue
        held = sum(
            lines[name].typical_g * share for name, share in moment.holds.items() if name in lines
        )
        water = water_of(moment, lines, 1) if moment.verb.key not in DRAINS else 0.0
        litres = (held + water) * dish.batch_portions / 1000
        if moment.verb.key in DRAINS and moment.empty:
            litres += _least_to_drain(moment, lines) * dish.batch_portions / 1000
        most = vessels()[moment.vessel].litres * FILL
        if litres > most + 0.05:
            faults.append(
                f"{dish.batch_portions} portions are {litres:.1f} l in a {moment.vessel} that "
                f"takes {most:.1f} l: use a larger one or a smaller batch"
            )
    return faults


def _least_to_drain(moment: Moment, lines: Mapping[str, DishLine]) -> float:
    """Give the least water one portion is boiled in before it is drained, in ml."""
    catalogue = Catalogue.load()
    least = 0.0
    for name, share in moment.holds.items():
        food = catalogue.food(lines[name].food)
        dried = line_start(lines[name], food) == "dried"
        grams = lines[name].typical_g * share
        before = grams / food.yield_factor if dried else grams
        least += DRAINED_LEAST_ML_PER_G[dried] * before - (grams - before)
    return least


@dataclass(frozen=True)
class Parts:
    """What becomes of each line of a kept portion, by the words of the dish."""

    reheated: tuple[str, ...]
    cold: tuple[str, ...]
    """Kept, and eaten as it comes from the fridge."""
    fresh: tuple[str, ...]
    """Put in at the plate on the day it is eaten."""


def parts_of(dish: Dish, served: Collection[str] | None = None) -> Parts:
    """
    Tell what of a kept portion is reheated, eaten cold, or put in fresh.

    What stands in a vessel that nothing hot went into stays cold.

    Parameters
    ----------
    dish : Dish
        With steps.
    served : collection of str, optional
        Catalogue keys; every line when left out.

    Returns
    -------
    Parts
    """
    return _parts(dish, walk(dish.lines, dish.steps, served))


def _parts(dish: Dish, moments: Collection[Moment]) -> Parts:
    clings = {line.called for line in dish.lines if role_of(line) in MINOR}
    with_: dict[str, frozenset[str]] = {}
    heated: set[str] = set()
    order: dict[str, None] = {}
    for moment in moments:
        if moment.step.at == "plate":
            names = (p.name for p in (*moment.take, *moment.with_, *moment.on))
            order |= dict.fromkeys(name for name in names if name not in with_)
            continue
        for name in moment.holds:
            with_[name] = frozenset(moment.holds)
        if moment.way in HOT:
            heated |= set(moment.holds) - clings
    lines = {line.called for line in dish.lines}
    kept = [name for name in with_ if name in lines]
    warm = [n for n in kept if dish.kept == "reheated" and with_[n] & heated]
    return Parts(
        tuple(warm),
        tuple(name for name in kept if name not in warm),
        tuple(name for name in order if name in lines),
    )


def _kept(dish: Dish, moments: Collection[Moment], catalogue: Catalogue) -> list[str]:
    """Hold what is kept and warmed again against what must not be."""
    if not dish.keeps_days:
        return []
    faults = []
    lines = {line.called: line for line in dish.lines}
    hot = any(moment.way in HOT - {"toast"} for moment in moments)
    if dish.kept == "reheated" and not hot:
        faults.append("nothing of it is cooked, so nothing is reheated: keep it cold")
    for name in _parts(dish, moments).reheated:
        food = catalogue.food(lines[name].food)
        if lines[name].eaten == "raw" and food.role in ("vegetable", "fruit"):
            faults.append(
                f"{name} is raw and would be reheated with a kept portion: put it in at the plate"
            )
    mixed = [
        name
        for name in _kept_inside(moments)
        if name in lines and "rice" in tastes_of().get(lines[name].food, ())
    ]
    if mixed and dish.keeps_days > 1:
        faults.append(
            f"{mixed[0]} is mixed in and keeps one day, the dish {dish.keeps_days}: lower"
            " keeps_days"
        )
    return faults


def _kept_inside(moments: Collection[Moment]) -> frozenset[str]:
    """Name what is cooked together with something else, so that it cannot be left out of a box."""
    inside: set[str] = set()
    for moment in moments:
        if moment.step.at != "plate" and len(moment.holds) > 3:
            inside |= set(moment.holds)
    return frozenset(inside)


_PLAIN = frozenset(
    {
        "and", "baked", "bran", "chocolate", "defatted", "for", "freeze", "germ", "golden",
        "isolate", "mince", "only", "pine", "porridge", "protein", "rolled", "sheets", "spread",
        "sun", "textured", "thin", "vital", "vitamins",
    }
)  # fmt: skip
"""Words of such names that mean nothing by themselves."""


@cache
def allergen_words() -> Mapping[str, frozenset[str]]:
    """
    List the words that mean foods with an allergen and no other food.

    Returns
    -------
    mapping of str to frozenset of str
        Word to the allergens every food it names carries.
    """
    safe: set[str] = set()
    found: dict[str, frozenset[str]] = {}
    for food in Catalogue.load():
        words = set(re.findall(r"[a-z]{3,}", food.name.partition(",")[0].lower()))
        if not food.allergens:
            safe |= words
            continue
        for word in words:
            known = frozenset(food.allergens)
            found[word] = found.get(word, known) & known
    stems = {word.removesuffix("s") for word in safe} | safe
    return {
        word: allergens
        for word, allergens in found.items()
        if allergens and word not in _PLAIN and word.removesuffix("s") not in stems
    }


def _words(dish: Dish, catalogue: Catalogue) -> list[str]:
    """Find free words that name an allergen the dish does not hold, or an add-on left out."""
    carries = {key for line in dish.lines for key in catalogue.food(line.food).allergens}
    optional = {line.called for line in dish.lines if line.optional}
    faults = []
    for step in dish.steps:
        for text in filter(None, (step.until, step.makes, step.first, step.then)):
            for word in re.findall(r"[a-z]{3,}", text.lower()):
                for form in (word, word + "s", word.removesuffix("s")):
                    extra = allergen_words().get(form, frozenset()) - carries
                    if extra:
                        faults.append(
                            f"{text!r} names {min(extra)}, which no line of the dish holds"
                        )
                        break
            faults += [
                f"{text!r} names {name}, which may be left out"
                for name in sorted(optional - set(step.take))
                if re.search(rf"\b{re.escape(name)}\b", text)
            ]
    return faults
