"""
What a sentence says about a whole meal: as planned, nothing, as yesterday, only half of it.

The words that say so are taken out; what is left names foods.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from mealplan.checkin.log.eaten_model import Meaning
from mealplan.checkin.log.eaten_tokens import Token
from mealplan.checkin.log.eaten_vocabulary import AS_BEFORE, AS_PLANNED, NOT_EATEN

_DROPPED = (
    "nothing else", "that s it", "that is it", "thats it", "that was it", "that is all",
    "thats all", "that s all", "and nothing else", "nothing more", "no more", "sonst nicht",
    "sonst nichts", "rien d autre", "nada mas", "verder niet", "verder niets", "thats about it",
)  # fmt: skip
"""SaidOfMeal at the end of what was eaten, adding nothing."""
_SHARES = {
    "half of it": 0.5, "half of that": 0.5, "ate half": 0.5, "only half": 0.5, "left half": 0.5,
    "just half": 0.5, "only ate half": 0.5, "only ate half of it": 0.5, "half eaten": 0.5,
    "about half": 0.5, "about half of it": 0.5, "half the plate": 0.5, "ate about half": 0.5,
    "half of the planned": 0.5, "half the planned": 0.5, "half planned": 0.5, "half portion": 0.5,
    "most of it": 0.8, "ate most": 0.8, "left a bit": 0.85, "left some": 0.8, "left a little": 0.9,
    "nearly all": 0.9, "almost all": 0.9, "a third of it": 0.33, "quarter of it": 0.25,
    "a quarter of it": 0.25, "three quarters of it": 0.75, "half of mine": 0.5,
    "half of my": 0.5, "half of the": 0.5, "left half of it": 0.5, "left the rest": 0.6,
    "didn t finish": 0.7, "didnt finish": 0.7, "did not finish": 0.7, "couldn t finish": 0.7,
    "couldnt finish": 0.7, "couldnt finish it": 0.7, "didnt finish it": 0.7, "double portion": 2.0,

    "ate half of the planned": 0.5, "ate half of it": 0.5, "ate most of it": 0.8,
    "second helping": 2.0, "seconds": 2.0, "two portions of it": 2.0, "ate double": 2.0,
}  # fmt: skip
_SHARED = {"shared": 0.5, "to share": 0.5, "split": 0.5, "between two": 0.5,
           "geteilt": 0.5, "partage": 0.5,
           "compartida": 0.5, "gedeeld": 0.5}  # fmt: skip
_LONGEST = 6


@dataclass(frozen=True)
class SaidOfMeal:
    """A meal's words without what speaks of it as a whole."""

    tokens: tuple[Token, ...]
    meaning: Meaning
    share: float
    shared: bool
    """True when the share is a guess: it was eaten with somebody."""


def meaning_of(tokens: Sequence[Token]) -> SaidOfMeal:
    """
    Tell what is said of a whole meal.

    Parameters
    ----------
    tokens : sequence of Token

    Returns
    -------
    SaidOfMeal
    """
    left, share, shared = _without_shares(list(tokens))
    phrase = _phrase(left)
    if phrase in NOT_EATEN:
        return SaidOfMeal((), "nothing", 1.0, shared=False)
    if phrase in AS_PLANNED or (not phrase and share != 1):
        return SaidOfMeal((), "as planned", share, shared)
    if phrase in AS_BEFORE:
        return SaidOfMeal((), "as before", share, shared)
    skipped = _leading(left, NOT_EATEN) or (1 if _phrase(left[:1]) in NOT_EATEN else 0)
    if skipped:
        return SaidOfMeal(tuple(left[skipped:]), "nothing", share, shared)
    for meanings, meaning in ((AS_PLANNED, "as planned"), (AS_BEFORE, "as before")):
        used = _leading(left, meanings)
        if used:
            rest = left[used:]
            return SaidOfMeal(tuple(rest), meaning, share, shared)  # type: ignore[arg-type]
    return SaidOfMeal(tuple(left), "foods", share, shared)


def _phrase(tokens: Sequence[Token]) -> str:
    words = [t.stem or t.text for t in tokens if t.kind != "mark"]
    while words and words[0] in ("of", "the", "my", "our", "i", "just", "had", "it"):
        words = words[1:]
    return " ".join(words)


def _leading(tokens: Sequence[Token], phrases: frozenset[str]) -> int:
    """Count the tokens of a phrase a sentence begins with, when more follows it."""
    for many in range(min(_LONGEST, len(tokens) - 1), 1, -1):
        following = tokens[many].text
        if _phrase(tokens[:many]) in phrases and following in (
            ",", "plus", "and", "but", "with", "+", ";", "except", "without", "minus", "&",
        ):  # fmt: skip
            return many
    return 0


def _without_shares(tokens: list[Token]) -> tuple[list[Token], float, bool]:
    left: list[Token] = []
    share, shared = 1.0, False
    place = 0
    while place < len(tokens):
        used, kind, value = _said_here(tokens, place)
        if not used:
            left.append(tokens[place])
            place += 1
            continue
        if kind != "dropped":
            share *= value
            shared = shared or kind == "shared"
        place += used
    return left, share, shared


def _said_here(tokens: Sequence[Token], place: int) -> tuple[int, str, float]:
    words = [t.text.replace("'", " ").strip() for t in tokens[place : place + _LONGEST]]
    for many in range(len(words), 0, -1):
        if any(t.kind == "mark" for t in tokens[place : place + many]):
            continue
        phrase = " ".join(words[:many])
        if phrase in _SHARES:
            follows = tokens[place + many] if place + many < len(tokens) else None
            if phrase in ("half of the", "half of my", "half portion", "double portion") and (
                follows is not None and follows.text not in (",", ".", ")")
            ):
                continue
            return many, "share", _SHARES[phrase]
        if phrase in _SHARED:
            return many, "shared", _SHARED[phrase]
        if phrase in _DROPPED:
            return many, "dropped", 1.0
    return 0, "", 1.0
