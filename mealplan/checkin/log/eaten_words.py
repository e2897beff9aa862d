"""
What was eaten, said in one sentence, read back as one before it is kept.

Everyday names, kitchen foods, dishes and foods of one's own are known by their words, with the
portions people mean by them. What may differ by much is asked, and only that, with the likeliest
reading; nothing is guessed in silence. Text is read from left to right, and only so much of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from foods.composition.catalogue import Catalogue
from foods.dishes.model import Dish
from mealplan.checkin.log.eaten_dishes import dish_of
from mealplan.checkin.log.eaten_joined import spoken_words
from mealplan.checkin.log.eaten_lexicon import Lexicon
from mealplan.checkin.log.eaten_meaning import SaidOfMeal, meaning_of
from mealplan.checkin.log.eaten_model import UNUSED_FRACTION, EatenSentence
from mealplan.checkin.log.eaten_names import lexicon_of
from mealplan.checkin.log.eaten_parts import (
    scaled,
    slices_of,
)
from mealplan.checkin.log.eaten_piece import Piece
from mealplan.checkin.log.eaten_pieces import pieces_and_unused
from mealplan.checkin.log.eaten_remarks import without_remarks
from mealplan.checkin.log.eaten_sentence import WORTH_ASKING_KCAL, Sentence
from mealplan.checkin.log.eaten_settled import settled_pieces
from mealplan.checkin.log.eaten_tokens import Token, tokens_of
from mealplan.checkin.log.eaten_vocabulary import COULD_CHANGE, NOTHING_ELSE, WITHOUT
from mealplan.errors import IntakeError

LONGEST_SENTENCE = 600
"""Longest sentence that is read. [characters]"""
MOST_PARTS = 20
"""Most foods of one meal."""


def read_eaten(
    text: str, catalogue: Catalogue | None = None, dishes: Iterable[Dish] = ()
) -> EatenSentence:
    """
    Read what was eaten at one meal.

    Parameters
    ----------
    text : str
        One sentence, such as ``pizza 300 kcal``, ``1 banana`` or ``2 slices of bread with hummus``.
    catalogue : Catalogue, optional
        Foods known, own ones included; those that ship when left out.
    dishes : iterable of Dish
        Dishes of one's own; those that ship are known in any case.

    Returns
    -------
    EatenSentence
        Where something is doubtful, the likeliest reading is among the parts and the doubt among
        the asks.

    Raises
    ------
    IntakeError
        When the text is empty or longer than any meal.
    """
    if len(text) > LONGEST_SENTENCE:
        raise IntakeError(
            f"what was eaten has {len(text):,} letters, more than {LONGEST_SENTENCE:,}; name one "
            "meal's foods"
        )
    known = catalogue or Catalogue.load()
    said = meaning_of(tokens_of(text))
    whole = dish_of(said.tokens, known, tuple(dishes))
    if whole is not None and said.meaning == "foods":
        return EatenSentence((scaled(whole, said.share),), ())
    lexicon = lexicon_of(known)
    tokens, doubts, aside = without_remarks(said.tokens, lexicon)
    pieces, unused = pieces_and_unused(tokens, lexicon, spoken_words(said.tokens))
    if said.meaning == "nothing":
        if not any(piece.food or piece.energies for piece in pieces):
            return EatenSentence((), (), meaning="nothing")
        said = replace(said, meaning="foods")
    if not pieces and said.meaning == "foods" and not _is_talk(said.tokens):
        raise IntakeError(
            "nothing was typed that names a food; write what was eaten, such as 1 banana, or its "
            "energy, such as pizza 300 kcal"
        )
    return _read(said, pieces, doubts, lexicon, (*aside, *unused))


def _read(
    said: SaidOfMeal,
    pieces: Sequence[Piece],
    doubts: Sequence[str],
    lexicon: Lexicon,
    unused: Sequence[str],
) -> EatenSentence:
    """Read the foods of a meal one after the other."""
    sentence = Sentence(lexicon, said.share if said.meaning == "foods" else 1.0)
    if len(pieces) > MOST_PARTS:
        sentence.asks.append(
            f"{len(pieces)} foods are more than one meal has; say the largest of them"
        )
    settled, unsettled = settled_pieces(pieces[:MOST_PARTS])
    sentence.asks += [*doubts, *unsettled]
    sentence.names = frozenset(p.food.name for p in settled if p.food)
    sentence.oil_said = any(p.food and p.food.kind.name == "oil" for p in settled)
    for place, piece in enumerate(settled):
        if said.meaning != "foods" and place and piece.joined == "and" and not piece.quantities:
            piece.absent = piece.absent or settled[place - 1].absent
        sentence.fillings = _fillings(settled, place)
        sentence.slices = max(sentence.slices, _spread_over(settled, place))
        sentence.take(piece)
    if said.share != 1 and said.shared:
        sentence.asks.append(
            f"how much of it was yours? It is read as {said.share:.2g} of the whole"
        )
    if said.share != 1 and said.meaning == "foods" and any(p.energies for p in settled):
        sentence.asks.append(
            f"is the energy said that of all of it, or of the {said.share:.2g} that was eaten? It "
            "is read as of all"
        )
    if said.meaning != "foods" and not sentence.left_out and _leaves_out(said.tokens):
        sentence.blocked = True
        sentence.asks.append("what of the planned meal was not eaten? Name its foods")
    unused = [*unused, *(sentence.unused if said.meaning == "foods" else ())]
    _ask_of_unused(sentence, said, unused, lexicon)
    sentence.check_share(settled)
    sentence.check_spread()
    if said.meaning == "foods" and not sentence.parts and not sentence.asks:
        sentence.blocked = True
        sentence.asks.append(
            "no food of it is known; say what was eaten, or about how much energy it had, such as "
            "dinner 700 kcal"
        )
    return EatenSentence(
        tuple(sentence.parts),
        tuple(sentence.asks),
        blocked=sentence.blocked,
        meaning=said.meaning,
        left_out=tuple(sentence.left_out) if said.meaning != "foods" else (),
        share=said.share,
        unused=tuple(unused),
    )


def _ask_of_unused(
    sentence: Sentence, said: SaidOfMeal, unused: Sequence[str], lexicon: Lexicon
) -> None:
    """Ask about words that were of no use where they may change what was eaten."""
    changing = any(
        word in COULD_CHANGE or word in lexicon.words or word == "or" or not word.isalpha()
        for word in unused
    )
    much = sentence.energy_kcal * UNUSED_FRACTION > WORTH_ASKING_KCAL
    much = much or any(word == "or" or not word.isalpha() for word in unused)
    if unused and (said.meaning != "foods" or (sentence.parts and changing and much)):
        sentence.asks.append(
            f"“{' '.join(unused)}” was of no use in this reading; say it otherwise, or its energy "
            "in kcal, where it changes what was eaten"
        )


def _spread_over(pieces: Sequence[Piece], place: int) -> float:
    """Count the slices that what is named before its bread is spread over: jam on 3 toasts."""
    if place + 1 >= len(pieces):
        return 1.0
    piece, bread = pieces[place], pieces[place + 1]
    if piece.food is None or piece.quantities or bread.joined != "with" or bread.food is None:
        return 1.0
    spread = piece.food.kind.name in ("spread", "sauce") and bread.food.kind.name == "bread"
    return slices_of(bread) if spread else 1.0


def _leaves_out(tokens: Sequence[Token]) -> bool:
    return any(t.text in WITHOUT for t in tokens)


def _is_talk(tokens: Sequence[Token]) -> bool:
    """Say whether anything was said at all, so that it may have been of a meal."""
    return any(t.kind == "word" and len(t.text) > 2 and t.text not in NOTHING_ELSE for t in tokens)


def _fillings(pieces: Sequence[Piece], place: int) -> int:
    """Count the foods said to be in the same thing as this one, itself included."""
    first = place
    while first > 0 and pieces[first].joined == "with":
        first -= 1
    after = first + 1
    while after < len(pieces) and pieces[after].joined in ("with", "and", ","):
        after += 1
    return after - first - 1
