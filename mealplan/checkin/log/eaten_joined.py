"""Names of several foods taken apart where an amount is of one of them; words of several senses."""

from __future__ import annotations

from collections.abc import Sequence
from math import log

from foods.composition.as_eaten import eaten_senses
from mealplan.checkin.log.eaten_amounts import APART_KCAL
from mealplan.checkin.log.eaten_kinds import is_of
from mealplan.checkin.log.eaten_lexicon import Edible, Lexicon
from mealplan.checkin.log.eaten_measures import SaidAmount
from mealplan.checkin.log.eaten_tokens import Token
from mealplan.checkin.log.eaten_vocabulary import AND, ENERGY, VOLUMES, WEIGHTS, WITH

PACKS = frozenset({"can", "jar", "pot", "packet", "bag", "box", "bottle", "bar", "block", "loaf"})
"""Measures that are sold with a weight written on them."""
_POURED = frozenset({"milk", "drink", "soft drink", "hot drink"})
_COUNTED_BEFORE = 1.6
"""A dish holds at least so many pieces of the food that is counted before its name: 2 eggs on
toast are two eggs, 2 rice cakes with peanut butter two of these."""
_MOST_PIECES = 20


def spoken_words(tokens: Sequence[Token]) -> frozenset[str]:
    """
    Give the words of a sentence.

    Parameters
    ----------
    tokens : sequence of Token

    Returns
    -------
    frozenset of str
    """
    return frozenset(token.text for token in tokens if token.kind == "word")


def sense_of(
    edible: Edible, said: str, spoken: frozenset[str], lexicon: Lexicon
) -> tuple[Edible, str]:
    """
    Choose among the foods a word names by the words beside it.

    Parameters
    ----------
    edible : Edible
        As the word is known.
    said : str
        As it was said.
    spoken : frozenset of str
        Words of the sentence.
    lexicon : Lexicon

    Returns
    -------
    edible : Edible
    doubt : str
        Empty where a word tells which it is.
    """
    senses = eaten_senses().get(said, ())
    if not senses:
        return edible, ""
    told = [
        (len(spoken & sense.told_by) + len(senses) * 10 * bool(spoken & sense.decided_by), -place)
        for place, sense in enumerate(senses)
    ]
    most = max(told)
    words = senses[-most[1]].sense.split()
    chosen = lexicon.find(words, words)[0] or edible
    if most[0] and sum(1 for hits, _ in told if hits == most[0]) == 1:
        return chosen, ""
    others = " or ".join(sense.sense for sense in senses)
    return chosen, f"is “{said}” {others}? It is read as {chosen.name}"


def split_name(
    dish: Edible,
    words: Sequence[str],
    before: Sequence[SaidAmount],
    after: Sequence[Token],
    lexicon: Lexicon,
) -> tuple[Edible, int, str] | None:
    """
    Cut a name such as salad with tofu where an amount beside it is that of one of its foods.

    Parameters
    ----------
    dish : Edible
        What the whole name stands for.
    words : sequence of str
        The name.
    before : sequence of SaidAmount
        Amounts said before it.
    after : sequence of Token
        What follows it.
    lexicon : Lexicon

    Returns
    -------
    head : Edible
    used : int
        Words of the name that name the head.
    doubt : str
        Empty where the amount tells whose it is.
    None
        Where the name stays whole.
    """
    at = next((n for n in range(1, len(words) - 1) if words[n] in WITH or words[n] in AND), 0)
    if not at:
        return None
    first, last = list(words[:at]), list(words[at + 1 :])
    head, used = lexicon.find(first, first)
    part, rest = lexicon.find(last, last)
    if head is None or used != at or part is None or rest != len(last):
        return None
    weighed = _weight_behind([t for t in after[:3] if t.text != "("])
    if weighed:
        grams, poured = weighed
        if poured and part.kind.name in _POURED:
            return head, at, ""
        mine, doubt = _fits(grams, dish, part)
        return (head, at, doubt) if mine else None
    if not before or before[-1].times:
        return None
    amount = before[-1]
    if amount.unit in WEIGHTS or amount.unit in VOLUMES:
        per = WEIGHTS.get(amount.unit) or VOLUMES[amount.unit]
        mine, doubt = _fits(amount.number.value * per, dish, head)
        return (head, at, doubt) if mine else None
    each = head.measures.get("each", 0.0)
    held = sum(grams for key, grams in dish.made_of if is_of(head, key, lexicon))
    counted = not amount.unit and 1 < amount.number.value < _MOST_PIECES
    if counted and each and held >= _COUNTED_BEFORE * each:
        return head, at, ""
    return None


def _weight_behind(after: Sequence[Token]) -> tuple[float, bool] | None:
    """Read a weight right behind a name: its grams, and whether it was poured."""
    if len(after) < 2 or after[0].kind != "number" or after[1].text in ENERGY:
        return None
    unit = after[1].text
    if unit in WEIGHTS:
        return after[0].value * WEIGHTS[unit], False
    if unit in VOLUMES:
        return after[0].value * VOLUMES[unit], True
    return None


def _fits(grams: float, dish: Edible, part: Edible) -> tuple[bool, str]:
    """Say whether a weight is that of a part of a dish, and whether that is in doubt."""
    off_dish = abs(log(max(0.1, grams) / dish.usual_g))
    off_part = abs(log(max(0.1, grams) / part.usual_g))
    mine = off_part < off_dish
    other = abs(dish.kcal_per_100g - part.kcal_per_100g) * grams / 100
    rest = dish.usual_g * dish.kcal_per_100g / 100
    if max(other, rest) < APART_KCAL or min(off_dish, off_part) < 0.5 * max(off_dish, off_part):
        return mine, ""
    whole = "that alone" if mine else "all of it"
    return mine, f"is {grams:,.0f} g of {part.name} alone, or of all of it? It is read as {whole}"
