"""Worksheet lines in their groups."""

from __future__ import annotations

from collections.abc import Sequence

from mealplan.plan import AdequacyLine, Plan
from mealplan.redaction import spared_lines

GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        "Energy and fuel",
        (
            "energy_kcal",
            "protein_g",
            "net_carbohydrate_g",
            "fat_g",
            "fibre_g",
            "linoleic_g",
            "alpha_linolenic_g",
        ),
    ),
    (
        "Amino acids, digestible",
        (
            "histidine_g",
            "isoleucine_g",
            "leucine_g",
            "lysine_g",
            "methionine_cystine_g",
            "phenylalanine_tyrosine_g",
            "threonine_g",
            "tryptophan_g",
            "valine_g",
        ),
    ),
    (
        "Minerals",
        (
            "calcium_mg",
            "iron_mg",
            "zinc_mg",
            "magnesium_mg",
            "potassium_mg",
            "phosphorus_mg",
            "copper_mg",
            "manganese_mg",
            "selenium_ug",
            "sodium_mg",
        ),
    ),
    ("Vitamins", ()),
)
"""Order of nutrients on paper; the last group takes whatever is left."""


def grouped(lines: Sequence[AdequacyLine]) -> tuple[tuple[str, tuple[AdequacyLine, ...]], ...]:
    """
    Group adequacy lines for paper.

    Parameters
    ----------
    lines : sequence of AdequacyLine
        One day's.

    Returns
    -------
    tuple of (heading, lines)
        Every line once; empty groups left out.
    """
    by_key = {line.key: line for line in lines}
    done: set[str] = set()
    result = []
    for heading, keys in GROUPS:
        chosen = keys or tuple(key for key in by_key if key not in done)
        group = tuple(by_key[key] for key in chosen if key in by_key)
        done |= {line.key for line in group}
        if group:
            result.append((heading, group))
    return tuple(result)


def week_lines(
    plan: Plan, *, hide: bool = False
) -> tuple[tuple[str, tuple[tuple[AdequacyLine, ...], ...]], ...]:
    """
    Group each nutrient's days for paper.

    Parameters
    ----------
    plan : Plan
    hide : bool
        True leaves out what gives calories or weight away.

    Returns
    -------
    tuple of (heading, nutrients)
        Each nutrient as its lines, one a day, in the order of the days.
    """
    days = [spared_lines(day.adequacy) if hide else day.adequacy for day in plan.days]
    by_key = [{line.key: line for line in lines} for lines in days]
    return tuple(
        (
            heading,
            tuple(tuple(day[line.key] for day in by_key if line.key in day) for line in lines),
        )
        for heading, lines in grouped(days[0] if days else ())
    )
