"""The names by which foods are said, and the finding of one in a sentence."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from rapidfuzz import process
from rapidfuzz.distance import OSA

from foods.composition.as_eaten import (
    EatenKind,
)
from foods.composition.catalogue import Catalogue
from foods.composition.food_words import normalised
from mealplan.checkin.log.eaten_vocabulary import (
    CHAT,
    NOTHING_ELSE,
    SOURCES,
)

LONGEST_NAME = 7
"""Most words of one name."""


@dataclass(frozen=True)
class Edible:
    """What a name stands for."""

    name: str
    kind: EatenKind
    kcal_per_100g: float
    key: str
    """Catalogue key when it is one food of the kitchen."""
    usual_g: float
    low_g: float
    high_g: float
    measures: Mapping[str, float]
    beside: Mapping[str, float]
    allergens: tuple[str, ...] = ()
    swallows: bool = False
    rest: tuple[tuple[str, float], ...] | None = None
    made_of: tuple[tuple[str, float], ...] = ()
    """What a name of several foods stands for. [g]"""
    foods: tuple[tuple[str, float], ...] = ()
    """Of a dish: catalogue keys with their grams in the usual portion. [g]"""
    number: str = ""
    """Number in the release where one row stands behind the name."""
    bought: str = ""
    """Number of what it is cooked from, where the catalogue says so."""


@dataclass
class Lexicon:
    """Every name known, with its words."""

    catalogue: Catalogue
    names: dict[str, Edible] = field(default_factory=dict)
    """By their words as written."""
    stems: dict[str, Edible] = field(default_factory=dict)
    """By their words in the singular."""
    words: frozenset[str] = frozenset()
    """Single words that stand in some name or mean something by themselves."""
    mendable: tuple[str, ...] = ()
    """Words that a slip of the pen may have meant."""

    def find(self, texts: Sequence[str], stems: Sequence[str]) -> tuple[Edible | None, int]:
        """
        Find the longest name that begins here.

        Parameters
        ----------
        texts, stems : sequence of str
            The coming words as typed and in the singular.

        Returns
        -------
        edible : Edible or None
        used : int
            How many words it takes.
        """
        for many in range(min(LONGEST_NAME, len(texts)), 0, -1):
            found = self.names.get(" ".join(texts[:many])) or self.stems.get(" ".join(stems[:many]))
            if found is not None:
                return found, many
        return None, 0

    def mend(self, word: str) -> str:
        """
        Find what a word with a slip of the pen meant.

        Parameters
        ----------
        word : str

        Returns
        -------
        str
            Empty when nothing or more than one word is near.
        """
        if len(word) < SHORTEST_MENDED or len(word) > LONGEST_MENDED:
            return ""
        if word in COMMON or (len(word) < LONGER_WORD and "'" not in word):
            turned = self._swapped(word)
            return turned if turned and not self._others(word, turned) else ""
        turned = self._swapped(word)
        if turned:
            return turned
        most = 1 if len(word) < LONG_WORD else 2
        near = process.extract(word, self.mendable, scorer=OSA.distance, score_cutoff=most, limit=4)
        near = [one for one in near if one[0][0] == word[0]]
        best = [one[0] for one in near if one[1] == near[0][1]]
        meant = {self._meant(one) for one in best}
        return best[0] if len(meant) == 1 else ""

    def _others(self, word: str, turned: str) -> bool:
        """Say whether a letter left out or typed wrong would name another food: tost, toast."""
        near = process.extract(word, self.mendable, scorer=OSA.distance, score_cutoff=1, limit=8)
        meant = self._meant(turned)
        foods = (one[0] for one in near if one[0][0] == word[0] and one[0] in self.names)
        return any(self._meant(one) != meant for one in foods)

    def _swapped(self, word: str) -> str:
        """Mend two neighbouring letters of a short word put the wrong way round."""
        if word in COMMON:
            return ""
        pairs = (word[:n] + word[n + 1] + word[n] + word[n + 2 :] for n in range(len(word) - 1))
        found = sorted({other for other in pairs if other != word and self._meant_by(other)})
        return found[0] if len(found) == 1 else ""

    def _meant_by(self, word: str) -> str:
        """Give a word as it stands among those a slip may have meant, singular or plural."""
        return next((one for one in (word, normalised(word)) if one in self.mendable), "")

    def _meant(self, word: str) -> str:
        """Give what a word stands for, so that two spellings of one food are no doubt."""
        edible = self.names.get(word) or self.stems.get(normalised(word))
        return edible.key or edible.name if edible is not None else normalised(word)


SHORTEST_MENDED, LONGER_WORD, LONG_WORD, LONGEST_MENDED = 4, 5, 8, 25
"""Letters of the shortest word whose letters are put in order, of the shortest that is mended, of
one with two slips, and of the longest."""
COMMON = CHAT | NOTHING_ELSE | SOURCES
"""Words of everyday talk, never taken for a food misspelt."""
