"""Kinds of dish as cooks and eaters tell them apart, and the words people use for them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from foods.composition.food_words import normalised
from foods.dishes.actions import table


@dataclass(frozen=True)
class Kind:
    """One kind of dish."""

    key: str
    words: tuple[str, ...]
    """What people call it; a word may mean several kinds."""
    family: str
    """Kinds of one family on one day are noticed as the same again; empty for none."""


@cache
def dish_kinds() -> Mapping[str, Kind]:
    """
    Load the kinds of dish.

    Returns
    -------
    mapping of str to Kind
        By key, in the order of the table.
    """
    return {
        row["kind"]: Kind(
            row["kind"], tuple(word for word in row["words"].split(";") if word), row["family"]
        )
        for row in table("dish_kinds.csv")
    }


@cache
def _by_word() -> Mapping[str, frozenset[str]]:
    found: dict[str, set[str]] = {}
    for kind in dish_kinds().values():
        for word in kind.words:
            found.setdefault(normalised(word), set()).add(kind.key)
    return {word: frozenset(kinds) for word, kinds in found.items()}


def kinds_called(word: str) -> frozenset[str]:
    """
    Say which kinds of dish a word means.

    Parameters
    ----------
    word : str
        As typed; one or many, with or without a hyphen.

    Returns
    -------
    frozenset of str
        Keys; empty when it names none.
    """
    plain = normalised(word)
    return _by_word().get(plain) or _by_word().get(
        normalised(word.strip().removesuffix("s")), frozenset()
    )
