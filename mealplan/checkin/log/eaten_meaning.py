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
from mealplan.checkin.table.words import word_set

_DROPPED = (
    "nothing else", "that s it", "that is it", "thats it", "that was it", "that is all",
    "thats all", "that s all", "and nothing else", "nothing more", "no more", "sonst nicht",
    "sonst nichts", "rien d autre", "nada mas", "verder niet", "verder niets", "thats about it",
)  # fmt: skip
"""Said at the end of what was eaten, adding nothing."""
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
_AGAIN = ("second helping", "seconds")
_SHARED = {"shared": 0.5, "to share": 0.5, "split": 0.5, "between two": 0.5,
           "geteilt": 0.5, "partage": 0.5,
           "compartida": 0.5, "gedeeld": 0.5}  # fmt: skip
_LONGEST, _LONGEST_PLAN = 6, 9
_OF_PLAN = frozenset({"plan", "planned", "plans"})
_ABOUT_PLAN = word_set(
    "as on in the from per according to everything all of it ate had eaten my our i meal lunch "
    "dinner breakfast supper snack stuck exactly just like same says said whole was what s whats "
    "did followed with lot finished menu day"
)
_ABOUT = word_set("about around roughly maybe approximately only just at least like")
_MY_PART = _ABOUT | word_set("my part share mine was i had ate got eaten took portion is")
_IT = frozenset({"it", "that", "this", "them", "mine", "everything", "there", "plate", "dish"})
_AMONG = word_set(
    "shared split sharing share between among amongst by in into evenly equally it the us with "
    "all both this that"
)


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
    left = _without_ends(left)
    phrase = _phrase(left)
    if phrase in NOT_EATEN:
        return SaidOfMeal((), "nothing", 1.0, shared=False)
    if phrase in AS_PLANNED or _is_plan(left) or (not phrase and share != 1):
        return SaidOfMeal((), "as planned", share, shared)
    begun = _meal_first(left) if share != 1 else 0
    if begun:
        return SaidOfMeal(tuple(left[begun:]), "as planned", share, shared)
    if phrase in AS_BEFORE:
        return SaidOfMeal((), "as before", share, shared)
    skipped = _leading(left, NOT_EATEN) or _nothing_first(left)
    if skipped:
        return SaidOfMeal(tuple(left[skipped:]), "nothing", share, shared)
    for meanings, meaning in ((AS_PLANNED, "as planned"), (AS_BEFORE, "as before")):
        used = _leading(left, meanings)
        if used:
            rest = _excepted(left, used)
            return SaidOfMeal(tuple(rest), meaning, share, shared)  # type: ignore[arg-type]
    return SaidOfMeal(tuple(left), "foods", share, shared)


def _meal_first(tokens: Sequence[Token]) -> int:
    """Count the words of half of the planned lunch before what was eaten beside it."""
    for place, token in enumerate(tokens[:_LONGEST_PLAN]):
        if token.text in (",", "and", "plus", "then", "but", ";", "+"):
            return place
        if token.text not in _ABOUT_PLAN and token.text not in _OF_PLAN:
            return 0
    return len(tokens) if len(tokens) <= _LONGEST_PLAN else 0


def _nothing_first(tokens: Sequence[Token]) -> int:
    """Count the first word where it says that nothing was eaten; zero cola is no such thing."""
    first = _phrase(tokens[:1])
    following = [t.text for t in tokens[1:3]]
    if following[:1] in (["the"], ["my"]) and following[1:2] and following[1] not in _ABOUT_PLAN:
        return 0  # skipped the bread
    return 1 if first in NOT_EATEN and first not in ("zero", "0", "saute") else 0


def _is_plan(tokens: Sequence[Token]) -> bool:
    """Say whether words speak of the plan and of nothing else: everything on the plan."""
    words = [t.text.replace("'", "") for t in tokens]
    if len(words) > _LONGEST_PLAN or not _OF_PLAN & set(words):
        return False
    return all(word in _OF_PLAN or word in _ABOUT_PLAN for word in words)


def _excepted(tokens: Sequence[Token], used: int) -> list[Token]:
    """Read all of it but the bread as without the bread."""
    rest = list(tokens[used:])
    words = [t.text for t in rest[:2]]
    all_of = {"all", "everything", "lot", "whole"} & {t.text for t in tokens[:used]}
    without = Token("word", "without", stem="without")
    if words[:2] == ["apart", "from"]:
        return [without, *rest[2:]]
    only = words[1:2] and words[1] in ("with", "also", "plus", "had", "added", "an", "a", "extra")
    if words[:1] and (
        words[0] in ("bar", "besides") or (words[0] == "but" and all_of and not only)
    ):
        return [without, *rest[1:]]
    return rest


def _without_ends(tokens: list[Token]) -> list[Token]:
    """Take joining words off the ends, which are left where a share was taken out."""
    ends = (",", "but", "and", "though", ";", ".", "-", "only", "just")
    while tokens and tokens[-1].text in ends:
        tokens = tokens[:-1]
    while tokens and tokens[0].text in ends[:-2]:
        tokens = tokens[1:]
    return tokens


def _phrase(tokens: Sequence[Token]) -> str:
    words = [t.stem or t.text for t in tokens if t.kind != "mark"]
    while words and words[0] in ("of", "the", "my", "our", "i", "just", "had", "it"):
        words = words[1:]
    return " ".join(words)


def _leading(tokens: Sequence[Token], phrases: frozenset[str]) -> int:
    """Count the tokens of a phrase a sentence begins with, when more follows it."""
    for many in range(min(_LONGEST_PLAN, len(tokens) - 1), 0, -1):
        following = tokens[many].text
        said = _phrase(tokens[:many]) in phrases
        if not said and phrases is AS_PLANNED:
            said = _is_plan(tokens[:many])
        if said and following in (
            ",", "plus", "and", "but", "with", "+", ";", "except", "without", "minus", "&", "no",
            "bar", "apart", "besides", "-", "though", "(",
        ):  # fmt: skip
            return many
    return 0


def _without_shares(tokens: list[Token]) -> tuple[list[Token], float, bool]:
    left: list[Token] = []
    share, shared, divided = 1.0, False, False
    vague = 1.0
    place = 0
    while place < len(tokens):
        used, kind, value = _share_here(tokens, place)
        if not used:
            used, kind, value = _said_here(tokens, place)
        if not used:
            left.append(tokens[place])
            place += 1
            continue
        if kind == "divided" and shared:
            share, shared = share / 0.5, False
        if kind == "vague":
            vague = value
        elif kind != "dropped":
            share *= 1.0 if kind == "shared" and divided else value
            divided = divided or kind == "divided"
            shared = (shared or kind == "shared") and not divided
        place += used
    return left, share if share != 1 else vague, shared


def _fraction(tokens: Sequence[Token], place: int) -> tuple[float, int]:
    """Read a share such as about a third, 1/4 or 80 %, with what it is of."""
    at = place
    while at < len(tokens) and tokens[at].text in _ABOUT:
        at += 1
    if at >= len(tokens) or tokens[at].kind != "number":
        return 0.0, 0
    value, at = tokens[at].value, at + 1
    if at < len(tokens) and tokens[at].text == "%":
        value, at = value / 100, at + 1
    if not 0 < value < 1:
        return 0.0, 0
    return value, at - place


def _share_here(tokens: Sequence[Token], place: int) -> tuple[int, str, float]:
    """Read left about a third, my part a third of it, shared between three."""
    word = tokens[place].text
    if word in ("left", "leaving", "leave"):
        value, used = _fraction(tokens, place + 1)
        end = _of_it(tokens, place + 1 + used, needed=False) if used else 0
        return (end - place, "share", 1 - value) if end > place else (0, "", 1.0)
    if word in ("shared", "split", "sharing", "share", "between", "among", "amongst"):
        return _divided(tokens, place)
    at = place
    while at < len(tokens) and tokens[at].text in _MY_PART:
        at += 1
    value, used = _fraction(tokens, at)
    if not used:
        return 0, "", 1.0
    over = at + used
    if over < len(tokens) and tokens[over].text in ("left", "leftover"):
        ends = over + 1 >= len(tokens) or tokens[over + 1].kind == "mark"
        return (over + 1 - place, "share", 1 - value) if ends else (0, "", 1.0)
    mine = any(t.text in ("part", "share", "portion") for t in tokens[place:at])
    end = _of_it(tokens, at + used, needed=not mine)
    return (end - place, "share", value) if end > at else (0, "", 1.0)


def _of_it(tokens: Sequence[Token], at: int, *, needed: bool) -> int:
    """Give the place behind of it; 0 where a share is of something that is named."""
    begin = at
    while at < len(tokens) and tokens[at].text in ("of", "the", "whole"):
        at += 1
    if at < len(tokens) and tokens[at].text in _IT:
        return at + 1
    follows = tokens[at + 1].text if at + 1 < len(tokens) else ","
    meal = at < len(tokens) and tokens[at].text in (
        "lunch",
        "dinner",
        "breakfast",
        "supper",
        "meal",
    )
    if meal and follows in (",", "and", "plus", "then", "but", ";"):
        return at
    ends = begin >= len(tokens) or tokens[begin].kind == "mark"
    return begin if ends and not needed else 0


def _divided(tokens: Sequence[Token], place: int) -> tuple[int, str, float]:
    """Read among how many a meal was shared."""
    at = place
    while at < len(tokens) and tokens[at].text in _AMONG:
        at += 1
    number = tokens[at] if at > place and at < len(tokens) else None
    if number is None or number.kind != "number" or not 1 < number.value <= 12:
        return 0, "", 1.0
    at += 1
    while at < len(tokens) and tokens[at].text in ("of", "us", "people", "ways", "them", "persons"):
        at += 1
    if at < len(tokens) and tokens[at].kind == "word" and tokens[place].text in (
        "between", "among", "amongst",
    ) and tokens[at - 1] is number:  # fmt: skip
        return 0, "", 1.0
    return at - place, "divided", 1 / number.value


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
            if phrase in _AGAIN and follows is not None and follows.text == "of":
                return many + 1, "dropped", 1.0  # more of one food, which is named behind it
            return many, "vague" if "finish" in phrase else "share", _SHARES[phrase]
        if phrase in _SHARED:
            return many, "shared", _SHARED[phrase]
        if phrase in _DROPPED:
            return many, "dropped", 1.0
    return 0, "", 1.0
