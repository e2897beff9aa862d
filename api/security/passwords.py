"""
Which passwords are refused: short ones, and those that guessers try first.

The list beside this module is from memory, of words and runs that published lists of leaked
passwords have in common; a password is common when it is made of at most two of them, whatever
digits, signs or capitals stand between.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from mealplan.errors import StoreError

SHORTEST_PASSWORD = 12
"""Letters a password has at least."""
LONGEST_PASSWORD = 128
"""Letters of it that are taken."""
MOST_COMMON_PARTS = 2
"""Different common words that together are still a common password."""

_LOOKS_LIKE = str.maketrans("0134578@$!|", "oieastbasil")
"""Digits and signs that stand for letters."""


@cache
def common_words() -> tuple[str, ...]:
    """
    Return the words that common passwords are made of, longest first.

    Returns
    -------
    tuple of str
    """
    text = (files("api.security") / "common_passwords.txt").read_text(encoding="ascii")
    words = {line for line in text.split() if line}
    return tuple(sorted(words, key=lambda word: (-len(word), word)))


def is_common(password: str, login: str = "") -> bool:
    """
    Say whether a password is one that guessers try first.

    Parameters
    ----------
    password : str
    login : str
        Counts as a common word.

    Returns
    -------
    bool
    """
    plain = password[:LONGEST_PASSWORD].lower()
    bare = plain.strip("".join(sign for sign in plain if not sign.isalpha()))
    spelt = (plain, plain.translate(_LOOKS_LIKE), bare.translate(_LOOKS_LIKE))
    return any(_made_of_common(text, login) for text in spelt)


def _made_of_common(text: str, login: str) -> bool:
    words = tuple(word for word in (login.lower(), *common_words()) if len(word) > 2)
    found: set[str] = set()
    at = 0
    while at < len(text):
        word = next((word for word in words if text.startswith(word, at)), None)
        if word is not None:
            found.add(word)
            at += len(word)
        elif text[at].isalpha() and text[at].isascii():
            return False
        else:
            at += 1
    return len(found) <= MOST_COMMON_PARTS


def check_password(password: str, login: str = "") -> None:
    """
    Refuse passwords that are guessed quickly.

    Parameters
    ----------
    password : str
    login : str

    Raises
    ------
    StoreError
        With what would be better.
    """
    if len(password) < SHORTEST_PASSWORD or len(set(password)) < 5:
        raise StoreError(
            f"the password has {len(password)} letters, {len(set(password))} of them "
            "different; take at least "
            f"{SHORTEST_PASSWORD}, five of them different: a short sentence is easy to keep in mind"
        )
    if len(password) > LONGEST_PASSWORD:
        raise StoreError(f"the password has more than {LONGEST_PASSWORD} letters; shorten it")
    if is_common(password, login):
        raise StoreError(
            "the password is made of words that guessers try first; take a short sentence of your "
            "own"
        )
