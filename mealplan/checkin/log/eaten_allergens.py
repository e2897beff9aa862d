"""Allergens of a meal said in words: of its foods, and of whatever its words name."""

from __future__ import annotations

from foods.composition.catalogue import ALLERGENS, Catalogue
from foods.composition.food_words import normalised
from mealplan.checkin.log.eaten_model import EatenSentence
from mealplan.checkin.log.eaten_names import lexicon_of
from mealplan.checkin.log.eaten_pieces import pieces_of
from mealplan.checkin.log.eaten_tokens import tokens_of
from mealplan.checkin.log.eaten_vocabulary import PLANT
from mealplan.checkin.log.eaten_words import LONGEST_SENTENCE, MOST_PARTS


def allergens_in(text: str, found: EatenSentence, catalogue: Catalogue) -> frozenset[str]:
    """
    Say which allergens a meal holds, by its foods and by what its words name.

    Parameters
    ----------
    text : str
        The sentence as typed.
    found : EatenSentence
        What was understood of it.
    catalogue : Catalogue

    Returns
    -------
    frozenset of str
    """
    named = {allergen for part in found.parts for allergen in part.allergens}
    keys = {key for key, _ in found.foods}
    lexicon = lexicon_of(catalogue)
    unread: list[str] = []
    for piece in pieces_of(tokens_of(text[:LONGEST_SENTENCE]), lexicon)[:MOST_PARTS]:
        if piece.absent:
            continue
        unread += piece.unknown
        for edible in filter(None, (piece.food, *piece.inside)):
            named |= set(edible.allergens)
            keys |= {edible.key} - {""}
        for single in filter(None, (lexicon.find([w], [normalised(w)])[0] for w in piece.said)):
            keys |= {single.key} - {""}
            named |= set(() if PLANT & set(piece.said) else single.allergens)
    named |= {a for key in keys if key in catalogue for a in catalogue.food(key).allergens}
    said = f" {normalised(' '.join(unread))} "
    return frozenset(named | {a for a in ALLERGENS if f" {a.replace('_', ' ')} " in said})
