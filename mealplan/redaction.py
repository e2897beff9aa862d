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
        *INDISPENSABLE,
    }
)
"""
Nutrients that give calories or body mass away by plain arithmetic.

Fibre is set per 1,000 kcal, fatty acids as shares of energy, amino acids per kilogram of body.
"""

HIDDEN = "…"
NUMBER_WITH_UNIT = re.compile(
    r"(?:between\s+)?[+\-−]?\d[\d,. ]*(?:\s*(?:to|–|and)\s*[+\-−]?\d[\d,. ]*)?\s*"
    r"(?:%|kcal|kJ|kg|lb|st|kilo(?:gram|calorie)s?|pounds?|stones?)(?:\s*/\s*(?:kg|day|week))*"
    r"(?:\s+(?:a|per|each)\s+(?:day|week|month))?(?:\s*\([^)]*\d[^)]*\))?",
    re.IGNORECASE,
)
BARE_RANGE = re.compile(r"\s*\([+\-−]?\d[^)]*\)")
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
