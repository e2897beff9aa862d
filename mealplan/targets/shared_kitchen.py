"""What an allergy or coeliac disease asks of a kitchen: words that no row of a plan can hold."""

from __future__ import annotations

from mealplan.client.intake import Intake
from mealplan.targets.ranges import Notice

IN_SPICES = frozenset({"peanut", "tree_nut", "mustard", "celery", "sesame"})
"""Allergens of which ground spices and their mixes may hold traces or more."""


def kitchen_notices(intake: Intake) -> tuple[Notice, ...]:
    """
    Say how traces are kept out of a client's food.

    Parameters
    ----------
    intake : Intake
        Allergies, health and how many eat from the kitchen.

    Returns
    -------
    tuple of Notice
        Empty where nothing must be kept apart.
    """
    allergies = set(intake.tastes.allergies)
    shared = intake.kitchen.people > 1
    coeliac = "coeliac disease" in intake.health
    found = []
    if coeliac or ("gluten" in allergies and shared):
        found.append(_of_gluten())
    others = sorted(allergies - {"gluten"})
    if others and shared:
        found.append(_of_allergens(others))
    spiced = sorted(allergies & IN_SPICES)
    if spiced:
        found.append(_of_spices(spiced))
    return tuple(found)


def _of_gluten() -> Notice:
    return Notice(
        code="gluten_cross_contact",
        severity="note",
        message=(
            "Crumbs are enough to harm: where wheat is cooked too, keep an own toaster, bread "
            "board, colander and jars of spread, wash pans and spoons before, boil in fresh water, "
            "and cook this food first. Oats only where the packet says certified gluten-free."
        ),
        see="a registered dietitian",
        source="good practice in coeliac disease",
        provenance="common practice",
    )


def _of_allergens(allergies: list[str]) -> Notice:
    named = ", ".join(one.replace("_", " ") for one in allergies)
    return Notice(
        code="allergen_cross_contact",
        severity="note",
        message=(
            f"Others eat from this kitchen: keep {named} away from this food. Cook it first, with "
            "boards, knives, pans and cloths washed in hot soapy water, from jars and packets of "
            "its own; rinsing, wiping and a dishcloth in use do not remove an allergen."
        ),
        source="good practice in food allergy",
        provenance="common practice",
    )


def _of_spices(allergies: list[str]) -> Notice:
    named = ", ".join(one.replace("_", " ") for one in allergies)
    return Notice(
        code="allergen_in_spices",
        severity="note",
        message=(
            f"Read the label of every ground spice, spice mix and stock powder for {named}: they "
            "are milled and packed beside others, and ground cumin and paprika have been recalled "
            "for allergens not named on them. Whole spices ground at home are safer."
        ),
        source="recalls of ground cumin and paprika, 2014 and 2015 (FDA, FSA)",
        provenance="from memory",
    )
