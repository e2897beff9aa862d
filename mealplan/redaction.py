"""
What a client reads who is not shown weights or calories: words stay, those numbers go.

Used by pages, printouts and messages alike. Grams of a food on the plate stay, as nobody can cook
without them; what carries energy, or is set by energy or body mass, goes with them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from mealplan.nutrition.amino_acids import INDISPENSABLE
from mealplan.plan import AdequacyLine

TELLING_KEYS = frozenset(
    {
        "energy_kcal",
        "protein_g",
        "carbohydrate_g",
        "net_carbohydrate_g",
        "sugars_g",
        "fat_g",
        "saturated_fat_g",
        "monounsaturated_fat_g",
        "polyunsaturated_fat_g",
        "fibre_g",
        "linoleic_g",
        "alpha_linolenic_g",
        "sodium_mg",
        *INDISPENSABLE,
    }
)
"""
Nutrients that give calories or body mass away by plain arithmetic.

Fibre is set per 1,000 kcal, fatty acids as shares of energy, amino acids per kilogram of body.
"""

HIDDEN = "…"
# Runs are taken whole (the + behind a count) and begun at their start only (the looking back), so
# that no text, however it was typed, is read more than a few times over.
_DIGITS = r"\d(?:[,. ]{0,3}\d)*+[,. ]{0,3}+"
NUMBER_WITH_UNIT = re.compile(
    r"(?<!\d)(?<!\d[,. ])(?<!\d[,. ]{2})(?<!\d[,. ]{3})"
    rf"(?:between\s++)?[+\-−]?{_DIGITS}(?:\s*+(?:to|–|and)\s*+[+\-−]?{_DIGITS})?\s*+"
    r"(?:%|kcal|kJ|kg|lb|st|kilo(?:gram|calorie)s?|pounds?|stones?)"
    r"(?:\s*+/\s*+(?:kg|day|week)){0,3}"
    r"(?:\s++(?:a|per|each)\s++(?:day|week|month))?(?:\s*+\([^)\d]{0,200}+\d[^)]{0,200}+\))?",
    re.IGNORECASE,
)
BARE_RANGE = re.compile(r"(?<!\s)\s*+\([+\-−]?\d[^)]{0,400}+\)")
ENERGY_WORD = re.compile(r"kcal|kJ|calor|\bkg\b|energy", re.IGNORECASE)


def hide_numbers(text: str) -> str:
    """
    Take weights, calories and percentages out of a sentence; dates and counts of days stay.

    Parameters
    ----------
    text : str

    Returns
    -------
    str
        With an ellipsis where a number stood.
    """
    return BARE_RANGE.sub("", NUMBER_WITH_UNIT.sub(HIDDEN, text))


def without_energy(texts: Iterable[str]) -> tuple[str, ...]:
    """
    Keep the sentences that speak neither of energy nor of weight.

    Parameters
    ----------
    texts : iterable of str

    Returns
    -------
    tuple of str
    """
    return tuple(text for text in texts if not ENERGY_WORD.search(text))


def spared_lines(lines: Iterable[AdequacyLine]) -> tuple[AdequacyLine, ...]:
    """
    Keep the lines of a day's report that give neither calories nor weight away.

    Parameters
    ----------
    lines : iterable of AdequacyLine

    Returns
    -------
    tuple of AdequacyLine
    """
    return tuple(line for line in lines if line.key not in TELLING_KEYS)
