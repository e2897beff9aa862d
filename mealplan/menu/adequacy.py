"""Plan against targets: what a day gives of each nutrient, and what is missed and why."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import cache

import numpy as np

from foods import FoodTable
from foods.composition.catalogue import Catalogue
from foods.composition.unlisted.composition import CompositionBasis
from foods.custom.label import NITROGEN_FACTOR
from foods.registry.nutrients import nutrient
from mealplan.kitchen.composition_spread import Spread, chance_above
from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.nutrition.amino_acids import INDISPENSABLE, Pattern
from mealplan.nutrition.protein_score import food_part, score_protein
from mealplan.plan import AdequacyLine, PlanDay, ProteinQuality, WeekMean
from mealplan.targets.ranges import DayTargets, TargetRange, Tier

TOLERANCE = 1e-6
"""Relative slack when a total is compared with its own bound."""

WISH_TOLERANCE = 0.01
"""A wish this nearly met is met: kitchen measures are no finer."""

WISHES: frozenset[Tier] = frozenset({"soft ceiling", "fuel", "comfort"})
"""Tiers whose miss is a wish unmet, never a floor or ceiling broken."""

UNLISTED: Mapping[CompositionBasis, str] = {
    "label": "as package labels declare it",
    "recipe": "worked out by a recipe of foods of the table",
    "survey": "what several such products declare",
}
"""What is said of an amount that no row of the release states."""

WORTH_SAYING = 0.005
"""Share of a total below which where it comes from is not said."""

UNKNOWN_MEAL_SPREAD = 0.4
"""Spread of a nutrient in a meal of which only the energy is known, a part (common practice)."""

USUAL_SERVING_G = 200.0
"""Most of one food that counts when the richest foods are named. [g]"""


def day_adequacy(
    day: DayTargets,
    grams_by_food: Mapping[str, float],
    space: FoodSpace,
    *,
    other_kcal: float = 0.0,
) -> tuple[AdequacyLine, ...]:
    """
    Add a day up and compare it with every range.

    Parameters
    ----------
    day : DayTargets
        The ranges.
    grams_by_food : mapping of str to float
        Catalogue key to grams as eaten. [g]
    space : FoodSpace
        Composition.
    other_kcal : float
        Energy eaten whose foods are not known; it brings of everything the share of a usual day
        that it is of the day's energy. [kcal]

    Returns
    -------
    tuple of AdequacyLine
        In the order of the targets.
    """
    grams = np.zeros(len(space))
    for key, amount in grams_by_food.items():
        grams[space.index[key]] += amount
    part = other_kcal / day.energy_kcal
    return tuple(
        _line(
            target,
            grams,
            space,
            other_kcal if target.key == "energy_kcal" else part * target.usual,
        )
        for target in day.ranges.values()
    )


def _line(target: TargetRange, grams: np.ndarray, space: FoodSpace, other: float) -> AdequacyLine:
    counted = other + float(grams @ space.toward(target.key, digestible=target.digestible))
    eaten = other + float(grams @ space.per_gram(target.key))
    weight = float(grams.sum())
    spread = Spread.of(space)
    sd = spread.total_sd(target.key, grams, digestible=target.digestible)
    if target.key != "energy_kcal":
        sd = math.hypot(sd, UNKNOWN_MEAL_SPREAD * other)
    skew = spread.total_skew(target.key, grams, digestible=target.digestible)
    unknown = float(grams[~space.known(target.key)].sum()) / weight if weight else 0.0
    total = counted + target.supplied
    low_slack = WISH_TOLERANCE if target.low_tier in WISHES else TOLERANCE
    high_slack = WISH_TOLERANCE if target.high_tier in WISHES else TOLERANCE
    floor = target.each_day
    low_ok = floor is None or total >= floor * (1 - low_slack)
    high_ok = target.high is None or eaten + target.supplied <= target.high * (1 + high_slack)
    notes = []
    if target.key == "calcium_mg" and eaten - counted > 1:
        notes.append(
            f"{eaten:,.0f} mg eaten; calcium of high-oxalate greens counts at what can be absorbed"
        )
    if target.key in INDISPENSABLE:
        imputed = float((grams * space.digestibility) @ space.imputed(target.key))
        if imputed > WORTH_SAYING * max(total, 1e-9):
            notes.append(
                f"a further {imputed:.2f} g is only imputed from kindred foods and is not counted"
            )
    for basis, said in UNLISTED.items():
        part = float((grams * space.rests_on(basis)) @ space.per_gram(target.key))
        if part > WORTH_SAYING * max(eaten, 1e-9):
            notes.append(f"{part / eaten:.0%} of what is eaten is {said}")
    if target.supplied_by:
        notes.append(f"{target.supplied:g} {target.unit} from {target.supplied_by}")
    return AdequacyLine(
        key=target.key,
        label=target.label,
        unit=target.unit,
        from_food=counted,
        from_supplement=target.supplied,
        total=total,
        low=target.low,
        aim=target.aim,
        high=target.high,
        day_low=floor if target.over == "week" and not target.from_supplement_only else None,
        met=low_ok and high_ok,
        priority="wish" if _only_a_wish(target, low_ok, high_ok) else "must",
        sd=sd,
        chance=chance_above(total, target.low, sd, skew) if target.low is not None else None,
        unknown_share=unknown,
        source=target.low_source or target.high_source,
        note="; ".join(notes),
    )


def _only_a_wish(target: TargetRange, low_ok: bool, high_ok: bool) -> bool:
    """Say whether what is missed, or else all that could be, is comfort or fuel."""
    at_stake = {
        tier
        for tier, bound, fine in (
            (target.low_tier, target.low, low_ok),
            (target.high_tier, target.high, high_ok),
        )
        if bound is not None and (not fine or (low_ok and high_ok))
    }
    return at_stake <= WISHES


@cache
def _composition(ndb: str) -> tuple[Mapping[str, float], float | None]:
    """Look a food up once a process: amounts per 100 g and its nitrogen factor."""
    table = FoodTable.load()
    return table.per_100g(ndb), table.food(ndb).nitrogen_factor


def day_protein_quality(
    grams_by_food: Mapping[str, float],
    pattern: Pattern,
    age_years: float,
    catalogue: Catalogue | None = None,
) -> ProteinQuality | None:
    """
    Score a day's protein, all foods mixed first.

    Parameters
    ----------
    grams_by_food : mapping of str to float
        Catalogue key to grams as eaten. [g]
    pattern : Pattern
        Scoring pattern, by its publication.
    age_years : float
        Picks the band. [years]
    catalogue : Catalogue, optional
        With the foods of one's own that were eaten; the shipped one when left out.

    Returns
    -------
    ProteinQuality or None
        None when nothing with protein was eaten. Imputed amino acids are not scored.

    References
    ----------
    .. [1] FAO 2013, Dietary protein quality evaluation in human nutrition, Paper 92.
    """
    catalogue = catalogue or Catalogue.load()
    parts = []
    composition: Mapping[str, float]
    factor: float | None
    for key, grams in grams_by_food.items():
        food = catalogue.food(key)
        if food.ndb is None:
            composition, factor = catalogue.own[key].per_100g, NITROGEN_FACTOR
        else:
            composition, factor = _composition(food.ndb)
        if composition["protein_g"] > 0 and grams > 0:
            parts.append(food_part(composition, grams, factor, food.digestibility))
    if not parts:
        return None
    classic = score_protein("PDCAAS", parts, pattern, age_years=age_years)
    newer = score_protein("DIAAS", parts, pattern, age_years=age_years)
    return ProteinQuality(
        pattern=pattern,
        pdcaas=round(classic.value, 3),
        diaas=round(newer.value, 3),
        limiting=nutrient(newer.limiting).label,
        known_fraction=round(min(1.0, newer.known_fraction[newer.limiting]), 3),
    )


def best_sources(
    key: str, space: FoodSpace, allowed: frozenset[str], *, digestible: bool = False, most: int = 3
) -> tuple[str, ...]:
    """
    Name the allowed foods that bring most of a nutrient for their energy.

    Parameters
    ----------
    key : str
        Nutrient.
    space : FoodSpace
        Composition.
    allowed : frozenset of str
        Catalogue keys the client may eat.
    digestible : bool
        Count amino acids as digestible.
    most : int
        How many names.

    Returns
    -------
    tuple of str
        Kitchen names, best first; foods whose daily ceiling brings little are left out.
    """
    amount = space.toward(key, digestible=digestible)
    energy = np.maximum(space.per_gram("energy_kcal"), 0.15)
    serving = amount * np.minimum(space.max_g_day, USUAL_SERVING_G)
    eaten_as_food = np.array([food.role not in ("flavour", "sweet") for food in space.foods])
    useful = eaten_as_food & (serving >= 0.2 * serving[eaten_as_food].max())
    score = np.where(useful, amount / energy, 0.0)
    order = np.argsort(-score, kind="stable")
    names = [space.foods[i].name for i in order if space.foods[i].key in allowed and score[i] > 0]
    return tuple(names[:most])


def explain_misses(
    days: Sequence[PlanDay],
    targets: Mapping[str, TargetRange],
    space: FoodSpace,
    allowed: frozenset[str],
) -> tuple[str, ...]:
    """
    Say in sentences what the days miss and what would mend it.

    Parameters
    ----------
    days : sequence of PlanDay
        Planned days.
    targets : mapping of str to TargetRange
        Ranges by key, for sources and fall-back floors.
    space : FoodSpace
        Composition.
    allowed : frozenset of str
        Foods the client may eat.

    Returns
    -------
    tuple of str
        One sentence a nutrient, musts first; empty when nothing is missed.
    """
    sentences: list[tuple[int, str]] = []
    for key, target in targets.items():
        lines = [(day, line) for day in days for line in day.adequacy if line.key == key]
        missed = [(day, line) for day, line in lines if not line.met]
        if not missed:
            continue
        short = [line for _, line in missed if line.floor is not None and line.total < line.floor]
        must = any(line.priority == "must" for _, line in missed)
        if all(line.over_usual_day for _, line in missed):
            mean = sum(line.total for _, line in lines) / len(lines)
            if target.high is not None and mean > target.high * (1 + WISH_TOLERANCE):
                sentences.append((1, _mean_over(target, mean, len(lines))))
            continue
        on = ", ".join(f"{day.date:%a}" for day, _ in missed)
        if short:
            worst = min(short, key=lambda line: line.total)
            text = (
                f"{target.label} falls short on {on}: at worst {worst.total:,.4g} of "
                f"{worst.floor:,.4g} {target.unit}."
            )
            text += _richest(target, space, allowed)
            if target.relaxed_low is not None and worst.total >= target.relaxed_low:
                text += (
                    f" It still reaches {target.relaxed_low:,.4g} {target.unit}:"
                    f" {target.relaxed_reason}."
                )
        else:
            worst = max((line for _, line in missed), key=lambda line: line.total)
            text = (
                f"{target.label} runs over on {on}: at most {worst.total:,.4g}, "
                f"the ceiling being {worst.high:,.4g} {target.unit}."
            )
            if not must:
                text += " It is a ceiling for the usual day, not a safety limit of a single one."
        sentences.append((0 if must else 1, text))
    return tuple(text for _, text in sorted(sentences, key=lambda item: item[0]))


def _mean_over(target: TargetRange, mean: float, days: int) -> str:
    over = f"over the {days} days" if days > 1 else "on the day"
    return (
        f"{target.label} is {mean:,.4g} {target.unit} a day {over}, the ceiling being "
        f"{target.high:,.4g}. It is a ceiling for the usual day, not a safety limit of a single "
        "one."
    )


def _richest(target: TargetRange, space: FoodSpace, allowed: frozenset[str]) -> str:
    sources = best_sources(target.key, space, allowed, digestible=target.digestible)
    return f" Most for their energy: {', '.join(sources)}." if sources else ""


def explain_means(
    means: Sequence[WeekMean],
    targets: Mapping[str, TargetRange],
    space: FoodSpace,
    allowed: frozenset[str],
) -> tuple[str, ...]:
    """
    Say in sentences which floors the week's means miss.

    Parameters
    ----------
    means : sequence of WeekMean
    targets : mapping of str to TargetRange
        Ranges by key.
    space : FoodSpace
        Composition.
    allowed : frozenset of str
        Foods the client may eat.

    Returns
    -------
    tuple of str
        One sentence a week and nutrient.
    """
    return tuple(
        f"{mean.label} falls short over the {mean.days} days from {mean.start:%A %d %B}: "
        f"{mean.mean:,.4g} of {mean.low:,.4g} {mean.unit} a day on average."
        f"{_richest(targets[mean.key], space, allowed)}"
        for mean in means
        if not mean.met
    )
