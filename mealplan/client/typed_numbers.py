"""
Typed text cut into numbers and words: 1,70, 5 ft 7 1/2, one and a half, 1 420, 70-72.

Nothing here knows a field. Text is gone through once, from left to right.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass


def each_word(words: str) -> frozenset[str]:
    """
    Give the words of a list written with spaces between.

    Parameters
    ----------
    words : str
        As typed.
    """
    return frozenset(words.split())


GLYPHS = {"½": 0.5, "¼": 0.25, "¾": 0.75, "⅓": 1 / 3, "⅔": 2 / 3}
_SMALL = {
    "zero": 0, "a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6,
    "seven": 7, "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13,
    "fourteen": 14, "fifteen": 15, "sixteen": 16, "seventeen": 17, "eighteen": 18,
    "nineteen": 19, "once": 1, "twice": 2, "thrice": 3, "couple": 2, "ein": 1, "eine": 1,
    "zwei": 2, "drei": 3, "vier": 4, "un": 1, "une": 1, "deux": 2, "trois": 3, "quatre": 4,
    "uno": 1, "una": 1, "dos": 2, "tres": 3, "cuatro": 4, "een": 1, "twee": 2, "drie": 3,
}  # fmt: skip
_TENS = {"twenty": 20, "thirty": 30, "forty": 40, "fourty": 40, "fifty": 50, "sixty": 60,
         "seventy": 70, "eighty": 80, "ninety": 90}  # fmt: skip
_PARTS = {"half": 0.5, "quarter": 0.25, "third": 1 / 3, "halb": 0.5, "halbe": 0.5, "demi": 0.5,
          "demie": 0.5, "media": 0.5, "medio": 0.5, "halve": 0.5, "quarters": 0.25,
          "thirds": 1 / 3}  # fmt: skip
_MARKS = {"’": "'", "′": "'", "‘": "'", "`": "'", "”": '"', "″": '"', "“": '"', "−": "-",
          "–": "-", "—": "-", "~": " ", "≈": " ", "±": " ", "⁄": "/"}  # fmt: skip


@dataclass(frozen=True)
class TypedToken:
    """One number, word or mark of a typed text."""

    kind: str
    """``number``, ``word`` or ``mark``."""
    text: str
    values: tuple[float, ...] = ()
    """What a number may mean, the likelier first."""
    digits: bool = True
    """False for a number that stands as a word."""


def cut_up(text: str) -> list[TypedToken]:
    """
    TypedToken typed text into numbers, words and marks.

    Parameters
    ----------
    text : str

    Returns
    -------
    list of TypedToken
        Fractions joined to the numbers before them.
    """
    plain = "".join(_MARKS.get(letter, letter) for letter in text.lower())
    plain = "".join(
        letter if letter in GLYPHS else _unaccented(letter) for letter in " ".join(plain.split())
    )
    return _with_fractions(_cuts(plain))


def _unaccented(letter: str) -> str:
    if letter == "ß":
        return "ss"
    return "".join(c for c in unicodedata.normalize("NFKD", letter) if not unicodedata.combining(c))


def _cuts(text: str) -> list[TypedToken]:
    found: list[TypedToken] = []
    kind, word = "", ""
    for place, letter in enumerate([*text, " "]):
        now = _kind_of(text, place, letter, kind)
        if now != kind or now in ("mark", "glyph"):
            if word:
                found.append(_made(kind, word))
            word = ""
        if now:
            word += letter
        kind = now
    return found


def _kind_of(text: str, place: int, letter: str, kind: str) -> str:
    following = text[place + 1 : place + 2]
    if letter.isascii() and letter.isdigit():
        return "number"
    if kind == "number" and letter in ".,'" and _inside(text, place):
        return "number"
    if kind == "number" and letter == " " and _groups(text, place):
        return "number"
    if letter in ".," and following.isdigit() and kind != "number":
        return "number"
    if letter in GLYPHS:
        return "glyph"
    if letter.isalpha():
        return "word"
    if letter.isspace() or (letter == "." and kind == "word") or not letter.isprintable():
        return ""
    return "mark"


def _inside(text: str, place: int) -> bool:
    following = text[place + 1 : place + 2]
    if not following.isdigit():
        return False
    return text[place] in ".," or _groups(text, place)


def _groups(text: str, place: int) -> bool:
    """Say whether exactly three digits follow one to three, as behind the mark of thousands."""
    after = 0
    while after < 4 and text[place + 1 + after : place + 2 + after].isdigit():
        after += 1
    before = 0
    while before < 4 and place > before and text[place - 1 - before].isdigit():
        before += 1
    return after == 3 and 1 <= before <= 3


def _made(kind: str, word: str) -> TypedToken:
    if kind == "number":
        return TypedToken("number", word, readings(word))
    if kind == "glyph":
        return TypedToken("number", word, (GLYPHS[word],))
    return TypedToken(kind, word)


def readings(number: str) -> tuple[float, ...]:
    """
    Say what digits with marks may mean.

    Parameters
    ----------
    number : str
        Such as ``1,70`` or ``1.420``.

    Returns
    -------
    tuple of float
        The likelier first; empty when it is no number.
    """
    plain = number.replace(" ", "").replace("'", "")
    if len(plain) > LONGEST_NUMBER:
        return ()
    marks = [sign for sign in plain if sign in ".,"]
    if not marks:
        return (float(plain),)
    if len(set(marks)) == 2:  # the last one is the decimal mark
        last = marks[-1]
        other = "," if last == "." else "."
        if marks.count(last) > 1:
            return ()
        return (float(plain.replace(other, "").replace(last, ".")),)
    if len(marks) > 1:
        groups = plain.replace(",", ".").split(".")
        return (float("".join(groups)),) if all(len(g) == 3 for g in groups[1:]) else ()
    whole, behind = plain.replace(",", ".").split(".")
    decimal = float(f"{whole or 0}.{behind or 0}")
    if len(behind) == 3 and 1 <= len(whole) <= 3 and whole != "0":
        thousands = float(whole + behind)
        return (thousands, decimal) if marks[0] == "," else (decimal, thousands)
    return (decimal,)


LONGEST_NUMBER = 14
"""Digits and marks of the longest number. [characters]"""


def _with_fractions(cuts: Sequence[TypedToken]) -> list[TypedToken]:
    found: list[TypedToken] = []
    place = 0
    while place < len(cuts):
        number, used = _number(cuts, place)
        found.append(number if number is not None else cuts[place])
        place += max(used, 1)
    return found


def _number(cuts: Sequence[TypedToken], place: int) -> tuple[TypedToken | None, int]:
    """Read a number with the words and fractions that belong to it."""
    first = cuts[place]
    texts = [cut.text for cut in cuts[place : place + 6]]
    value, used = _stroke(cuts, place)
    if used:
        return TypedToken("number", "".join(texts[:used]), (value,)), used
    if first.kind == "number":
        return _and_part(cuts, place, first, 1)
    if first.kind != "word":
        return None, 0
    if first.text in _PARTS:
        used = 2 if texts[1:2] in (["a"], ["an"]) else 3 if texts[1:3] == ["of", "an"] else 1
        return TypedToken("number", first.text, (_PARTS[first.text],), digits=False), used
    if first.text in ("a", "an") and texts[1:2] and texts[1] in (*_PARTS, "couple"):
        inner, used = _number(cuts, place + 1)
        return inner, used + 1
    if first.text in _TENS:
        more = _SMALL.get(texts[1], 0) if len(texts) > 1 else 0
        skip = 2 if texts[1:2] == ["-"] and texts[2:3] and 0 < _SMALL.get(texts[2], 0) < 10 else 0
        more = _SMALL[texts[2]] if skip else more if more < 10 else 0
        value = _TENS[first.text] + more
        used = 1 + (skip or (1 if more else 0))
        return TypedToken("number", first.text, (float(value),), digits=False), used
    if first.text in _SMALL:
        counted = TypedToken("number", first.text, (float(_SMALL[first.text]),), digits=False)
        if texts[1:2] == ["quarters"] or texts[1:2] == ["thirds"]:
            part = _PARTS[texts[1]] * _SMALL[first.text]
            more = 3 if texts[2:4] == ["of", "an"] else 1
            return TypedToken("number", "part", (part,), digits=False), 1 + more
        return _and_part(cuts, place, counted, 1)
    return None, 0


def _stroke(cuts: Sequence[TypedToken], place: int) -> tuple[float, int]:
    """Read a fraction written with a stroke."""
    three = cuts[place : place + 3]
    if len(three) < 3 or three[1].text != "/":
        return 0.0, 0
    over, under = three[0], three[2]
    if not (over.text.isdigit() and under.text.isdigit()):
        return 0.0, 0
    if not (0 < int(over.text) < int(under.text) <= 8):
        return 0.0, 0
    behind = cuts[place + 3].text if place + 3 < len(cuts) else ""
    if behind == "/":
        return 0.0, 0
    return int(over.text) / int(under.text), 3


def _and_part(
    cuts: Sequence[TypedToken], place: int, number: TypedToken, used: int
) -> tuple[TypedToken, int]:
    """Add what is said behind a number: ½, 1/2, and a half."""
    texts = [cut.text for cut in cuts[place + used : place + used + 3]]
    after = cuts[place + used] if place + used < len(cuts) else None
    part, more = 0.0, 0
    if after is not None and after.text in GLYPHS:
        part, more = GLYPHS[after.text], 1
    elif after is not None and after.kind == "number":
        part, more = _stroke(cuts, place + used)
    elif texts[:2] in (["and", "half"], ["et", "demi"], ["y", "media"], ["et", "demie"]):
        part, more = 0.5, 2
    elif texts[:2] == ["and", "a"] and texts[2:] and texts[2] in _PARTS:
        part, more = _PARTS[texts[2]], 3
    if not more:
        return number, used
    values = tuple(value + part for value in number.values)
    return TypedToken("number", f"{number.text}+", values, number.digits), used + more
