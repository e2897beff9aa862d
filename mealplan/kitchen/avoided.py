"""What a client must not be offered, in foods and in the words of labels."""

from __future__ import annotations

from foods.registry.errors import FoodError
from mealplan.client.health import avoided_with
from mealplan.client.intake import Intake
from mealplan.kitchen.custom_foods import catalogue_of


def avoided_foods(intake: Intake) -> frozenset[str]:
    """
    Find the foods no sentence may suggest to a client: allergies, conditions, refusals.

    Parameters
    ----------
    intake : Intake

    Returns
    -------
    frozenset of str
        Catalogue keys; a word that means no food, such as a dish or one still to be mended, adds
        none here.
    """
    catalogue = catalogue_of(intake)
    found: set[str] = set()
    for word in (*_allergies(intake), *intake.tastes.never):
        try:
            found |= {food.key for food in catalogue.match(word)}
        except FoodError:
            continue
    return frozenset(found)


def label_words(intake: Intake) -> frozenset[str]:
    """
    Find the allergens a client must look for on labels.

    Parameters
    ----------
    intake : Intake

    Returns
    -------
    frozenset of str
        Words of :data:`foods.composition.catalogue.ALLERGENS`.
    """
    catalogue = catalogue_of(intake)
    return frozenset(word for said in _allergies(intake) for word in catalogue.label_words(said))


def _allergies(intake: Intake) -> tuple[str, ...]:
    return (*intake.tastes.allergies, *avoided_with(intake.health))
