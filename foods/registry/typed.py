"""
How long, how many and how deep text may be that someone typed, checked before it is read.

Reading takes time that grows with a text's length, and for nested text faster than that; what no
kitchen and no client needs is therefore refused while it is still a string of letters.
"""

from __future__ import annotations

from foods.registry.errors import FoodError

LONGEST_WORD = 60
"""Longest food, dish or group that is looked for; longer words name none."""
MOST_TOML = 400_000
"""Longest file of own foods and dishes: 180 of them with all their text. [characters]"""
LONGEST_TOML_LINE = 4_000
"""An ingredients list or a method's step on one line. [characters]"""
MOST_TOML_LINES = 20_000
DEEPEST_TOML = 12
"""Brackets within brackets, and dots in one key."""


def clipped(text: str) -> str:
    """
    Cut words short that are longer than any word, so that matching stays quick.

    Parameters
    ----------
    text : str

    Returns
    -------
    str
        With single spaces; words of usual length as they were.
    """
    return " ".join(word[:LONGEST_WORD] for word in text.split())


def check_toml(text: str, where: str) -> None:
    """
    Refuse a file that is too long or nests too deeply to be read.

    Parameters
    ----------
    text : str
        TOML document.
    where : str
        Name used in messages, usually the file name.

    Raises
    ------
    FoodError
        With the line that is at fault.
    """
    if len(text) > MOST_TOML:
        raise FoodError(
            f"{where} has {len(text):,} characters, more than {MOST_TOML:,}: split it in two"
        )
    lines = text.splitlines()
    if len(lines) > MOST_TOML_LINES:
        raise FoodError(
            f"{where} has {len(lines):,} lines, more than {MOST_TOML_LINES:,}: split it in two"
        )
    depth = 0
    for number, line in enumerate(lines, start=1):
        if len(line) > LONGEST_TOML_LINE:
            raise FoodError(
                f"{where}, line {number} has {len(line):,} characters, more than "
                f"{LONGEST_TOML_LINE:,}: break it into several lines between triple quotes"
            )
        if line.partition("=")[0].count(".") > DEEPEST_TOML:
            raise FoodError(
                f"{where}, line {number} has a key of more than {DEEPEST_TOML} parts; fields are "
                "called as `mealplan example foods` prints them"
            )
        # Brackets inside quoted text count too: a list of foods has no such text either.
        depth = max(
            0, depth + line.count("[") + line.count("{") - line.count("]") - line.count("}")
        )
        if depth > DEEPEST_TOML or line.count("[") + line.count("{") > 400:
            raise FoodError(
                f"{where}, line {number} opens more brackets than it closes; close them"
            )
