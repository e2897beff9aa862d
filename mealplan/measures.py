"""Amounts as a kitchen says them: cups and spoons with quarters and thirds, pieces, grams."""

from __future__ import annotations

from fractions import Fraction

from foods.catalogue import KitchenFood

_GLYPHS = {
    Fraction(1, 4): "¼",
    Fraction(1, 2): "½",
    Fraction(3, 4): "¾",
    Fraction(1, 3): "⅓",
    Fraction(2, 3): "⅔",
    Fraction(1, 8): "⅛",
}


def number_in_kitchen(value: float) -> str:
    """
    Write a count with kitchen fractions.

    Parameters
    ----------
    value : float
        Count of measures, 0 or more.

    Returns
    -------
    str
        Such as ``1½`` or ``⅔``; to the nearest eighth or third.
    """
    nearest = min(
        (Fraction(round(value * base), base) for base in (1, 2, 3, 4, 8)),
        key=lambda part: (abs(float(part) - value), part.denominator),
    )
    whole, rest = divmod(nearest, 1)
    glyph = _GLYPHS.get(rest)
    if rest and glyph is None:
        return f"{value:.2g}"
    if not rest:
        return f"{whole}"
    return f"{whole or ''}{glyph}"


_PLURAL_FREE = ("tbsp", "tsp", "g", "ml")


def in_measures(food: KitchenFood, grams: float) -> str:
    """
    Say an amount of a food in its household measure.

    Parameters
    ----------
    food : KitchenFood
        The food; its measure's weight comes from the composition release.
    grams : float
        Amount. [g]

    Returns
    -------
    str
        Such as ``1½ cups`` or ``2 tsp``.
    """
    count = grams / food.measure_g
    unit = food.measure
    text = number_in_kitchen(count)
    plural = count > 1.01 and unit not in _PLURAL_FREE and not unit.endswith("s")
    if plural:
        head, comma, tail = unit.partition(",")
        unit = f"{_plural(head)}{comma}{tail}"
    return f"{text} {unit}"


def _plural(word: str) -> str:
    if word.endswith(("ch", "sh", "x", "s")):
        return f"{word}es"
    if word.endswith("f") and not word.endswith("ff"):
        return f"{word[:-1]}ves"
    if word.endswith("y") and word[-2] not in "aeiou":
        return f"{word[:-1]}ies"
    return f"{word}s"
