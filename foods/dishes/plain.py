"""
Dishes in plain sentences: what may be left out of one without rewriting a word.

No sentence is ever cut. An add-on whose every sentence speaks of it alone is left out with them;
one that shares a sentence with other food belongs to the dish, so whoever must not eat it is not
offered the dish.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence


def named_in(sentence: str, called: Sequence[str]) -> frozenset[str]:
    """
    Find the foods a sentence names.

    Parameters
    ----------
    sentence : str
    called : sequence of str
        The words a dish uses for its foods.

    Returns
    -------
    frozenset of str
        Where one name holds another the longer counts.
    """
    found: set[str] = set()
    text = sentence.lower()
    for word in sorted(called, key=len, reverse=True):
        pattern = rf"\b{re.escape(word.lower())}(?:e?s)?\b"
        if re.search(pattern, text):
            found.add(word)
            text = re.sub(pattern, "#", text)
    return frozenset(found)


def shared_words(method: Sequence[str], called: Sequence[str]) -> frozenset[str]:
    """
    Name the foods that share a sentence with another.

    Parameters
    ----------
    method : sequence of str
    called : sequence of str

    Returns
    -------
    frozenset of str
    """
    each = [named_in(sentence, called) for sentence in method]
    return frozenset(word for names in each if len(names) > 1 for word in names)


def sentences_without(
    method: Sequence[str], called: Sequence[str], out: Collection[str]
) -> tuple[str, ...]:
    """
    Give a method without the sentences that speak of what is not served.

    Parameters
    ----------
    method : sequence of str
    called : sequence of str
    out : collection of str
        What the dish calls the foods that are not served.

    Returns
    -------
    tuple of str
        Each as it was written.
    """
    return tuple(sentence for sentence in method if not named_in(sentence, called) & frozenset(out))
