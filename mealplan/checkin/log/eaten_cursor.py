"""A place in the words of a meal, and what can be seen from there: names, measures, brackets."""

from __future__ import annotations

from collections.abc import Sequence

from mealplan.checkin.log.eaten_lexicon import LONGEST_NAME, Lexicon
from mealplan.checkin.log.eaten_piece import Piece
from mealplan.checkin.log.eaten_tokens import Token
from mealplan.checkin.log.eaten_vocabulary import (
    DRY,
    FLEXIBLE,
    NOTHING_ELSE,
    NUTRIENTS,
    SIZES,
    UNITS,
    VOLUMES,
    WEIGHTS,
)


class Cursor:
    """
    A place in the words of a meal.

    Parameters
    ----------
    tokens : sequence of Token
    lexicon : Lexicon
    """

    def __init__(self, tokens: Sequence[Token], lexicon: Lexicon) -> None:
        self.tokens = list(tokens)
        self.lexicon = lexicon
        self.taken: set[int] = set()
        """Places in the sentence of the words that were of use."""
        self.place = 0
        self.now = Piece()

    def _take(self, place: int, after: int) -> None:
        """Note that words were of use."""
        self.taken |= {token.at for token in self.tokens[place:after]}

    def _words_ahead(self) -> tuple[list[str], list[str]]:
        """Give the words that may be one name from here on."""
        texts: list[str] = []
        stems: list[str] = []
        place = self.place
        while place < len(self.tokens) and len(texts) < LONGEST_NAME:
            token = self.tokens[place]
            if token.kind == "mark" and token.text != "%":
                if token.text == "/" and texts and texts[-1] == "w":
                    place += 1
                    texts[-1] = stems[-1] = "with"
                    continue
                if token.text not in ("&",):
                    break
                texts.append("and")
                stems.append("and")
            elif token.text != "%":
                texts.append(token.text)
                stems.append(token.stem or token.text)
            place += 1
        return texts, stems

    def _previous(self) -> str:
        return self.tokens[self.place - 2].text if self.place >= 2 else ""

    def _own_measure(self, place: int) -> str:
        """Give a word's measure where the food before has one of that name: a baguette of bread."""
        token = self.tokens[place] if place < len(self.tokens) else None
        if self.now.food is None or token is None or token.kind != "word":
            return ""
        own = self.now.food.measures
        return next((word for word in (token.text, token.stem) if word in own), "")

    def _tells_nutrient(self, place: int) -> bool:
        """Say whether grams are those of a nutrient: 20 g protein."""
        if self._word_at(place) not in NUTRIENTS:
            return False
        kept, self.place = self.place, place
        edible, _ = self.lexicon.find(*self._words_ahead())
        self.place = kept
        return edible is None

    def _previous_is_times(self) -> bool:
        return self.place > 0 and self.tokens[self.place - 1].text in ("x", "times", "of")

    def _word_at(self, place: int) -> str:
        if place < len(self.tokens) and self.tokens[place].kind == "word":
            return self.tokens[place].text
        return ""

    def _is_measure(self, place: int) -> bool:
        """Say whether a word is a household measure here, and not a food or part of its name."""
        word = self._word_at(place)
        if word not in UNITS:
            return False
        if UNITS[word] not in FLEXIBLE:
            kept, self.place = self.place, place
            edible, used = self.lexicon.find(*self._words_ahead())
            self.place = kept
            return edible is None or used == 1 or self._word_at(place + 1) == "of"
        following = self._word_at(place + 1)
        if following in ("of", "de", "du", "d", "von", "van"):
            return True
        kept, self.place = self.place, place
        edible, used = self.lexicon.find(*self._words_ahead())
        self.place = place + 1
        after, _ = self.lexicon.find(*self._words_ahead())
        self.place = kept
        return (edible is None or used == 1) and (after is not None or edible is None)

    def _in_brackets(self) -> bool:
        return self.place > 0 and self.tokens[self.place - 1].text == "("

    def _name_follows(self, place: int) -> bool:
        """Say whether a food is named right behind a number, past its measure."""
        while place < len(self.tokens):
            word = self.tokens[place]
            if word.kind != "word":
                return False
            kept, self.place = self.place, place
            edible, _ = self.lexicon.find(*self._words_ahead())
            self.place = kept
            if edible is not None:
                return True
            if not (word.text in UNITS or word.text in WEIGHTS or word.text in VOLUMES
                    or word.text in NOTHING_ELSE | DRY or word.text in SIZES):  # fmt: skip
                return False
            place += 1
        return False

    def _mark_at(self, place: int) -> str:
        return self.tokens[place].text if place < len(self.tokens) else ""
