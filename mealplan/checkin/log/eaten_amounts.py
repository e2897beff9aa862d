"""How much of a food was eaten: grams, pieces and household measures, with their doubt."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import log

from mealplan.checkin.log.eaten_lexicon import Edible
from mealplan.checkin.log.eaten_measures import EatenGrams, SaidAmount, measure_g, times
from mealplan.checkin.log.eaten_vocabulary import (
    SIZE_NAMES,
    SIZES,
    VOLUMES,
    WEIGHTS,
)

WEIGHED_FRACTION = 0.05
"""Doubt of an amount that was weighed or poured from a measure."""
DRAINED_FRACTION = 0.1
"""Doubt of what is left of a tin when it is drained (common practice)."""
APART_KCAL = 150.0
"""Two readings of an amount that lie further apart are told. [kcal]"""
MEASURED_FRACTION = 0.7
"""Doubt of a household measure or piece, against that of a portion nobody measured."""
MOST_OF_SMALL_PIECES = 60
"""Pieces lighter than :data:`SMALL_PIECE_G` are counted up to this number."""
SMALL_PIECE_G = 13.0
"""[g]"""
HALF = 0.5
BARE_GRAMS = 20.0
"""A bare number from here on is a weight. [g]"""
_OIL_DENSITY = 0.92
"""[g/mL]"""


def amount_of(
    edible: Edible,
    quantities: Sequence[SaidAmount],
    sizes: Sequence[str],
    beside: str | None,
    *,
    drained: bool = False,
) -> EatenGrams | None:
    """
    Work out how much of a food was eaten.

    Parameters
    ----------
    edible : Edible
    quantities : sequence of SaidAmount
        As they were said, from left to right.
    sizes : sequence of str
        Such as ``large``.
    beside : str or None
        Kind of the food it is eaten with; None where it stands by itself.
    drained : bool
        True when what a tin was filled up with was poured off.

    Returns
    -------
    EatenGrams or None
        None where the amounts do not fit together.
    """
    weights = [q for q in quantities if q.unit in WEIGHTS or q.unit in VOLUMES]
    counts = [q for q in quantities if q not in weights]
    if weights:
        return _weighed(edible, weights, counts, list(quantities), drained=drained)
    if not counts:
        return _usual(edible, sizes, beside)
    if beside is not None and len(counts) == 1 and counts[0].times and not counts[0].unit:
        usual = _usual(edible, sizes, beside)  # as often as what it is eaten with
        return times(usual, counts[0].number.value)
    if len(counts) > 1:
        return _counted_twice(edible, counts, sizes)
    return _counted(edible, counts[0], 1.0, sizes)


def _counted_twice(
    edible: Edible, counts: Sequence[SaidAmount], sizes: Sequence[str]
) -> EatenGrams | None:
    """Read 2 slices x 3, 2 plates of 6 dumplings, and 6 dumplings (1 portion)."""
    times = [c for c in counts if c.times]
    told = [c for c in counts if not c.times] or times[-1:]
    factor = 1.0
    for one in times if len(told) < len(counts) else times[:-1]:
        factor *= one.number.value
    several = [c for c in told if c.number.value != 1] or told[-1:]
    if len(several) == 1:
        return _counted(edible, several[0], factor, sizes)
    first, last = several[0], several[-1]
    found = _counted(edible, last, factor * first.number.value, sizes)
    if len(several) > 2 or found is None:
        return None
    plain = (first.unit and not last.unit) or (not first.unit and last.number.value < 1)
    if not last.apart and (plain or not first.unit):
        return found
    doubt = f"both {_said(first)} and {_said(last)} are said; they are multiplied"
    return replace(found, doubts=(doubt,))


def _said(amount: SaidAmount) -> str:
    word = amount.unit if amount.unit in WEIGHTS or amount.unit in VOLUMES else f"× {amount.unit}"
    return f"{amount.number.text} {word}".strip(" ×") if amount.unit else amount.number.text


def _grams_each(edible: Edible, weight: SaidAmount) -> float:
    if weight.unit == "oz" and edible.kind.name in ("drink", "soft drink", "hot drink", "milk"):
        return 29.6
    return WEIGHTS.get(weight.unit) or VOLUMES[weight.unit] * _density(edible)


def _weighed(
    edible: Edible,
    weights: Sequence[SaidAmount],
    counts: Sequence[SaidAmount],
    order: Sequence[SaidAmount],
    *,
    drained: bool,
) -> EatenGrams:
    weight = min(weights, key=lambda w: w.number.value * _grams_each(edible, w))
    each = _grams_each(edible, weight)
    doubts: tuple[str, ...] = ()
    if len(weights) > 1:
        said = " and ".join(_said(w) for w in weights)
        doubts = (f"two amounts are said, {said}; it is read as {_said(weight)}",)
    many = 1.0
    for count in counts:
        if count.number.value == 1:
            continue
        times, doubt = _multiplies(edible, count, weight, order)
        many *= count.number.value if times else 1.0
        doubts += doubt
    number = weight.number
    multiple = "" if many == 1 else f"{many:g} × "
    words = f"{multiple}{number.value:g} {weight.unit}"
    left, doubt = _drained(edible, number.value * each, weight, counts, drained=drained)
    one, spread = each * many * left, WEIGHED_FRACTION if left == 1 else DRAINED_FRACTION
    return EatenGrams(
        number.value * one,
        number.low * one * (1 - spread),
        number.high * one * (1 + spread),
        words if left == 1 else f"{words} tin of drained",
        said=True,
        doubts=(*doubts, *doubt),
    )


def _multiplies(
    edible: Edible, count: SaidAmount, weight: SaidAmount, order: Sequence[SaidAmount]
) -> tuple[bool, tuple[str, ...]]:
    """Say whether a count multiplies a weight: 2 tins (400 g) may be 400 g or 800 g."""
    before = order.index(count) < order.index(weight)
    part = count.number.value < 1
    if count.times or weight.times or weight.each or (weight.pack and (before or part)):
        return True, ()
    if before and not weight.apart and not count.unit:
        return True, ()
    grams = max(0.1, weight.number.value * _grams_each(edible, weight))
    one, many = measure_g(edible, count.unit) or grams / count.number.value, count.number.value
    off_each, off_all = abs(log(grams / one)), abs(log(grams / (one * many)))
    times = off_each < off_all and not (part and weight.restated)
    apart = abs(many - 1) * grams * edible.kcal_per_100g / 100
    clear = min(off_each, off_all) < 0.5 * max(off_each, off_all)
    if apart < APART_KCAL or (clear and times == (off_each < off_all)):
        return times, ()
    return times, (
        f"is {_said(weight)} that of each of {_said(count)}, or of all? It is read as that of "
        f"{'each' if times else 'all'}",
    )


def _drained(
    edible: Edible,
    grams: float,
    weight: SaidAmount,
    counts: Sequence[SaidAmount],
    *,
    drained: bool,
) -> tuple[float, tuple[str, ...]]:
    """Give the share of a tin's weight that is eaten when its liquid is poured off."""
    label, inside = edible.measures.get("label", 0.0), edible.measures.get("can", 0.0)
    tinned = weight.pack or any(c.unit in ("can", "jar") for c in counts)
    if not label or not tinned or grams < 1.15 * inside:
        return 1.0, ()
    near = 0.7 < grams / label < 1.4
    if not drained and not near:
        return 1.0, ()
    left = inside / label
    if drained or (1 - left) * grams * edible.kcal_per_100g / 100 < APART_KCAL:
        return left, ()
    return left, (
        f"is {_said(weight)} the weight on the tin? It is read so, with {inside / label:.0%} of it "
        "left when it is drained",
    )


def _density(edible: Edible) -> float:
    if edible.kind.name == "oil":
        return _OIL_DENSITY
    if edible.kind.name in (
        "cereal",
        "nut",
        "snack",
        "powder",
        "vegetable",
        "salad",
        "fruit",
        "sweet",
        "grain",
    ):
        return edible.measures.get("cup", 240.0) / 240
    return 1.0


def _usual(edible: Edible, sizes: Sequence[str], beside: str | None) -> EatenGrams:
    factor, named = _size(edible, sizes)
    if beside is not None:
        grams = edible.beside.get(beside, edible.beside.get("*", edible.usual_g))
        if grams != edible.usual_g:
            spread = max(0.4, edible.kind.portion_fraction)
            grams *= factor
            return EatenGrams(grams, grams * (1 - spread), grams * (1 + spread), "", said=False)
    if named:
        spread = edible.kind.portion_fraction
        return EatenGrams(named, named * (1 - spread), named * (1 + spread), "", said=False)
    return EatenGrams(
        edible.usual_g * factor, edible.low_g * factor, edible.high_g * factor, "", said=False
    )


def _size(edible: Edible, sizes: Sequence[str]) -> tuple[float, float]:
    """Give the factor of the sizes said, or the food's own grams for one of them."""
    factor = 1.0
    for size in sizes:
        own = edible.measures.get(SIZE_NAMES.get(size, ""), 0.0)
        if own:
            return 1.0, own
        factor *= SIZES[size]
    return factor, 0.0


def _counted(
    edible: Edible, count: SaidAmount, times: float, sizes: Sequence[str]
) -> EatenGrams | None:
    number = count.number
    factor, named = _size(edible, sizes)
    if not count.unit and number.value >= BARE_GRAMS and not _small(edible, number.value):
        grams = number.value
        return EatenGrams(grams * times, grams * 0.95 * times, grams * 1.05 * times,
                      f"{grams:g} g", said=True)  # fmt: skip
    if number.value == HALF and not count.unit and "half" in edible.measures and not sizes:
        one, factor = edible.measures["half"] / HALF, 1.0
    elif (count.unit in ("", "each") or {"sharing", "grab"} & set(sizes)) and named:
        one, factor = named, 1.0
    else:
        one = measure_g(edible, count.unit)
        for size in sizes if named else ():
            factor *= SIZES[size]
    if not one:
        return None
    one *= factor * times
    spread = edible.kind.portion_fraction * MEASURED_FRACTION
    if count.unit in ("tsp", "tbsp", "cup"):
        spread = min(spread, 0.2)
    unit = count.unit if count.unit != "each" else ""
    many = f"{round(number.value, 2):g}"
    words = f"{many} {unit}" if unit else f"{many} ×"
    return EatenGrams(
        number.value * one,
        number.low * one * (1 - spread),
        number.high * one * (1 + spread),
        words,
        said=True,
    )


def _small(edible: Edible, value: float) -> bool:
    each = edible.measures.get("each", 0.0)
    return 0 < each <= SMALL_PIECE_G and value <= MOST_OF_SMALL_PIECES
